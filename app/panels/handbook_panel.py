"""The handbook: pages in Markdown with tables and pictures, links between them, and a field to find words in all."""

from pathlib import Path

from PySide6.QtCore import QEvent, Qt, QTimer, QUrl
from PySide6.QtGui import (
    QDesktopServices,
    QFont,
    QFontDatabase,
    QImage,
    QKeySequence,
    QPalette,
    QResizeEvent,
    QShortcut,
    QTextBlock,
    QTextCursor,
    QTextDocument,
    QTextFrameFormat,
    QTextLength,
    QTextTable,
)
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLineEdit, QTextBrowser, QToolButton, QVBoxLayout, QWidget

FOLDER = Path(__file__).resolve().parents[1] / "help"
PAGES = ("handbook", "method", "example", "limits", "formulas", "scripting", "safety")
"""Files in the order in which they are read."""


class HandbookPage(QTextBrowser):
    """One page at a time; pictures are never wider than the page, and nothing comes from a network."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setOpenLinks(True)
        self.setOpenExternalLinks(False)
        self.setSearchPaths([str(FOLDER)])
        self._fit_later = QTimer(self, interval=60, singleShot=True)
        self._fit_later.timeout.connect(self._fit_pictures)

    def open_page(self, name: str) -> None:
        """Show a page by the name of its file."""
        self.setSource(QUrl.fromLocalFile(str(FOLDER / f"{name}.md")), QTextDocument.ResourceType.MarkdownResource)

    def page_name(self) -> str:
        """The name of the page's file, without ending."""
        return Path(self.source().path()).stem

    def doSetSource(
        self, name: QUrl, kind: QTextDocument.ResourceType = QTextDocument.ResourceType.UnknownResource
    ) -> None:
        """Pages of ours are shown; a link to the source of the program is left alone."""
        whole = self.source().resolved(name)
        if not whole.isLocalFile():
            return
        if not whole.path().endswith(".md"):
            QDesktopServices.openUrl(whole)
            return
        super().doSetSource(whole, QTextDocument.ResourceType.MarkdownResource)
        self._dress()
        self._fit_pictures()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self.source().isValid():
            self._dress()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_later.start()

    def _dress(self) -> None:
        """Room and quiet lines for tables, a fixed pitch and a ground for what is typed."""
        line, ground = (self.palette().color(role) for role in (QPalette.ColorRole.Mid, QPalette.ColorRole.AlternateBase))
        fixed = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
        for frame in self.document().rootFrame().childFrames():
            if isinstance(frame, QTextTable):
                form = frame.format().toTableFormat()
                form.setBorder(1)
                form.setBorderCollapse(True)
                form.setBorderStyle(QTextFrameFormat.BorderStyle.BorderStyle_Solid)
                form.setBorderBrush(line)
                form.setCellPadding(4)
                form.setWidth(QTextLength(QTextLength.Type.PercentageLength, 100))
                frame.setFormat(form)
        block = self.document().begin()
        while block.isValid():
            if block.blockFormat().hasProperty(block.blockFormat().Property.BlockCodeFence):
                cursor = QTextCursor(block)
                cursor.select(QTextCursor.SelectionType.BlockUnderCursor)
                form = block.blockFormat()
                form.setBackground(ground)
                cursor.setBlockFormat(form)
                letters = block.charFormat()
                letters.setFontFamilies([fixed.family(), "monospace"])
                letters.setFontPointSize(self._typed_size(fixed))
                cursor.mergeCharFormat(letters)
            block = block.next()

    def _typed_size(self, fixed: QFont) -> float:
        return 0.85 * (self.font().pointSizeF() if self.font().pointSizeF() > 0 else fixed.pointSizeF())

    def _fit_pictures(self) -> None:
        """Draw every picture as wide as the page, at most as wide as it is, smoothed once instead of at every paint."""
        document = self.document()
        room = self.viewport().width() - 2 * round(document.documentMargin()) - 2
        block: QTextBlock = document.begin()
        while block.isValid():
            pieces = block.begin()
            while not pieces.atEnd():
                piece = pieces.fragment()
                form = piece.charFormat().toImageFormat()
                if form.isValid():
                    url = document.baseUrl().resolved(QUrl(form.name()))
                    whole = QImage(url.toLocalFile())
                    wide = max(min(room, whole.width()), 1)
                    if not whole.isNull() and wide != round(form.width()):
                        smooth = whole.scaledToWidth(wide, Qt.TransformationMode.SmoothTransformation)
                        document.addResource(QTextDocument.ResourceType.ImageResource, url, smooth)
                        form.setWidth(smooth.width())
                        form.setHeight(smooth.height())
                        cursor = QTextCursor(block)
                        cursor.setPosition(piece.position())
                        cursor.setPosition(piece.position() + piece.length(), QTextCursor.MoveMode.KeepAnchor)
                        cursor.setCharFormat(form)
                        break
                pieces += 1
            block = block.next()


class HandbookPanel(QWidget):
    """The page, with a way back, the list of pages and a field to find words; loaded when it is first seen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.page = HandbookPage(self)
        self.page.setAccessibleName(self.tr("Handbook"))
        self.back = QToolButton(self)
        self.back.setText("←")
        self.back.setToolTip(self.tr("Back to the page before"))
        self.back.setAccessibleName(self.tr("Back to the page before"))
        self.back.setEnabled(False)
        self.back.clicked.connect(self.page.backward)
        self.page.backwardAvailable.connect(self.back.setEnabled)
        self.pages = QComboBox(self)
        self.pages.setAccessibleName(self.tr("Page of the handbook"))
        titles = {
            "handbook": self.tr("Contents and words"),
            "method": self.tr("The method"),
            "example": self.tr("A worked example"),
            "limits": self.tr("Limits of validity"),
            "formulas": self.tr("Formulas and sources"),
            "scripting": self.tr("Scripting"),
            "safety": self.tr("Safety"),
        }
        for name in PAGES:
            self.pages.addItem(titles[name], name)
        self.pages.activated.connect(lambda _: self.page.open_page(self.pages.currentData()))
        self.page.sourceChanged.connect(lambda _: self._show_name())
        self.find = QLineEdit(self)
        self.find.setPlaceholderText(self.tr("Find in the handbook"))
        self.find.setAccessibleName(self.tr("Find in the handbook"))
        self.find.setClearButtonEnabled(True)
        self.find.returnPressed.connect(self.find_next)
        self.find.textChanged.connect(lambda _: self._found(True))
        key = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        key.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        key.activated.connect(self._to_find)
        row = QHBoxLayout()
        row.addWidget(self.back)
        row.addWidget(self.pages, 1)
        row.addWidget(self.find, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.addLayout(row)
        column.addWidget(self.page)

    def showEvent(self, event: QEvent) -> None:  # type: ignore[override]  # PySide's own stub says QShowEvent
        if not self.page.source().isValid():
            self.page.open_page(PAGES[0])
        super().showEvent(event)  # type: ignore[arg-type]

    def find_next(self) -> bool:
        """Mark the next place with the words, on this page or the first later one that has them; False for none."""
        words = self.find.text().strip()
        if not words or self.page.find(words):
            return self._found(True)
        here = PAGES.index(self.page.page_name())
        for name in (*PAGES[here + 1 :], *PAGES[: here + 1]):
            text = (FOLDER / f"{name}.md").read_text(encoding="utf-8")
            shown = QTextDocument()
            shown.setMarkdown(text)
            if not shown.find(words).isNull():
                if name == PAGES[here]:
                    self.page.moveCursor(QTextCursor.MoveOperation.Start)
                else:
                    self.page.open_page(name)
                return self._found(self.page.find(words))
        return self._found(False)

    def _found(self, found: bool) -> bool:
        """Words that stand nowhere are struck through, which is told without colour."""
        font = self.find.font()
        font.setStrikeOut(not found)
        self.find.setFont(font)
        self.find.setToolTip("" if found else self.tr("Stands nowhere in the handbook."))
        return found

    def _show_name(self) -> None:
        self.pages.setCurrentIndex(max(self.pages.findData(self.page.page_name()), 0))

    def _to_find(self) -> None:
        self.find.setFocus()
        self.find.selectAll()
