"""About the limits: what a sink does not do, how sure the numbers are, and words on safety."""

from PySide6.QtWidgets import QTextBrowser, QWidget


class LimitsPanel(QTextBrowser):
    """A page to keep open beside the work; it never asks anything."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("About the limits"))
        self.setOpenExternalLinks(False)
        self.setHtml(self._page())

    def _page(self) -> str:
        def listed(*texts: str) -> str:
            return "<ul>" + "".join(f"<li style='margin-bottom:4px'>{text}</li>" for text in texts) + "</ul>"

        return (
            f"<h3>{self.tr('What a sink does and does not do')}</h3>"
            + listed(
                self.tr(
                    "It lowers the temperature from layer to layer. It does not change the melt pool of the first "
                    "track, which is laid on powder."
                ),
                self.tr(
                    "It touches nothing, so it gives no hold-down against curl. A part that warps is not held by it."
                ),
                self.tr("Below about 20° expect trouble even with a sink; the one published gap study failed at 15°."),
                self.tr("Short ledges in aluminium or copper gain little: the metal itself leads the heat away."),
            )
            + f"<h3>{self.tr('How sure the numbers are')}</h3>"
            + listed(
                self.tr(
                    "Every temperature, conductance and limit is an estimate until a coupon replaces it. Build the "
                    "coupon on your machine, with your powder, and put in what came out."
                ),
                self.tr("The conductivity of powder is known to a factor of about 2, not to a percent."),
                self.tr("The fuse limit is an energy bound, good to about ±40 %."),
                self.tr(
                    "The shapes are exact: the distance from sink to part is measured on the solid that is written."
                ),
            )
            + f"<h3>{self.tr('Safety')}</h3>"
            + listed(
                self.tr(
                    "Metal powder burns and its dust explodes, titanium, aluminium and magnesium above all. Nickel, "
                    "cobalt and chromium harm the lungs and sensitise the skin."
                ),
                self.tr("Inert gas suffocates without warning."),
                self.tr(
                    "Powder trapped between part and sink comes loose when parts are cut or knocked; open it where "
                    "dust is extracted."
                ),
                self.tr("Edges of sinks are sharp, and parts under stress spring when they are cut off."),
                self.tr(
                    "ISO/ASTM 52931, NFPA 484 and 660, local codes, the maker of the machine and licensed practice "
                    "come first. Parts for safety-critical use need their own qualification."
                ),
            )
        )
