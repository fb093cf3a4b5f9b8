"""A square code that a telephone reads: an address, so that nobody types it with gloves on.

Source: ISO/IEC 18004 (QR code), drawn by the PDF library's own widget.
"""

from hashlib import sha256
from typing import Any

from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.platypus import Flowable

QUIET_MODULES = 4  # ISO/IEC 18004: four modules of white on every side


class AddressCode(Flowable):  # type: ignore[misc]  # the PDF library has no type hints
    """An address as a square code of a side in points, error correction M."""

    def __init__(self, address: str, side: float) -> None:
        super().__init__()
        self.address, self.side = address, side

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return the square."""
        return (self.side, self.side)

    def draw(self) -> None:
        """Draw the modules black on white, and make the square a link on screen.

        A pack prints one address on every task sheet, so it is drawn once and used again.
        """
        name = f"code-{sha256(f'{self.address} {self.side}'.encode()).hexdigest()[:16]}"
        if not self.canv.hasForm(name):
            self.canv.beginForm(name, 0, 0, self.side, self.side)
            renderPDF.draw(self._build(), self.canv, 0, 0)
            self.canv.endForm()
        self.canv.doForm(name)
        self.canv.linkURL(self.address, (0, 0, self.side, self.side), relative=1)

    def _build(self) -> Drawing:
        widget: Any = QrCodeWidget(self.address, barLevel="M", barBorder=QUIET_MODULES)
        left, low, right, high = widget.getBounds()
        scale = (self.side / (right - left), 0, 0, self.side / (high - low), 0, 0)
        drawing = Drawing(self.side, self.side, transform=scale)
        drawing.add(widget)
        return drawing
