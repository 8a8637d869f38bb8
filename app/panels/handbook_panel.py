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
    QShowEvent,
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
        self, name: QUrl | str, kind: QTextDocument.ResourceType = QTextDocument.ResourceType.UnknownResource
    ) -> None:
        """Pages of ours are shown; other files go to the desktop, and nothing is fetched."""
        whole = self.source().resolved(QUrl(name))
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
            self._lay_out()

    def _lay_out(self) -> None:
        """All of the page anew: Qt lays pages out by and by, and lost paragraphs between those changed meanwhile."""
        self.document().markContentsDirty(0, self.document().characterCount())
        self.document().documentLayout().documentSize()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_later.start()

    def _dress(self) -> None:
        """Room and quiet lines for tables, a fixed pitch and a ground for what is typed."""
        colours = self.palette()
        line, ground = colours.color(QPalette.ColorRole.Mid), colours.color(QPalette.ColorRole.AlternateBase)
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
                cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor)
                typed = block.blockFormat()
                typed.setBackground(ground)
                cursor.setBlockFormat(typed)
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
        self._lay_out()


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
        self.page.sourceChanged.connect(self._show_name)
        self.words = QLineEdit(self)
        self.words.setPlaceholderText(self.tr("Find in the handbook"))
        self.words.setAccessibleName(self.tr("Find in the handbook"))
        self.words.setClearButtonEnabled(True)
        for cross in self.words.findChildren(QToolButton):
            cross.setAccessibleName(self.tr("Clear"))
        self.words.returnPressed.connect(self.find_next)
        self.words.textChanged.connect(lambda _: self._found(True))
        key = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        key.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        key.activated.connect(self._to_find)
        row = QHBoxLayout()
        row.addWidget(self.back)
        row.addWidget(self.pages, 1)
        row.addWidget(self.words, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.addLayout(row)
        column.addWidget(self.page)

    def showEvent(self, event: QShowEvent) -> None:
        if not self.page.source().isValid():
            self.page.open_page(PAGES[0])
        super().showEvent(event)

    def find_next(self) -> bool:
        """Mark the next place with the words, on this page or the first later one that has them; False for none."""
        words = self.words.text().strip()
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
        font = self.words.font()
        font.setStrikeOut(not found)
        self.words.setFont(font)
        self.words.setToolTip("" if found else self.tr("Stands nowhere in the handbook."))
        return found

    def _show_name(self, source: QUrl) -> None:
        """The page's own source still names the page before when this is called."""
        self.pages.setCurrentIndex(max(self.pages.findData(Path(source.path()).stem), 0))

    def _to_find(self) -> None:
        self.words.setFocus()
        self.words.selectAll()
