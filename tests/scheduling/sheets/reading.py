"""A second program's view of a PDF: text, fonts and shapes read back by pypdf."""

from functools import cache
from io import BytesIO
from typing import Any

import pypdf

MM = 72 / 25.4


def read_pdf(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(BytesIO(data))


@cache
def page_texts(data: bytes) -> tuple[str, ...]:
    """Return each page's text with line breaks as spaces."""
    return tuple(" ".join(page.extract_text().split()) for page in read_pdf(data).pages)


def find_page(data: bytes, words: str) -> int:
    """Return the index of the first page that holds these words."""
    return next(i for i, text in enumerate(page_texts(data)) if words in text)


def find_task_page(data: bytes, title: str) -> int:
    """Return the index of the task sheet with this title."""
    return next(
        i
        for i, text in enumerate(page_texts(data))
        if title in text and "Stop and call the lead when" in text
    )


def read_fonts(data: bytes) -> dict[str, bool]:
    """Return the name of every font that a page or form names, and whether it is embedded."""
    fonts: dict[str, bool] = {}

    def walk(resources: Any) -> None:
        resources = resources.get_object()
        for font in resources.get("/Font", {}).values():
            font = font.get_object()
            descriptor = font.get("/FontDescriptor")
            embedded = descriptor is not None and "/FontFile2" in descriptor.get_object()
            fonts[str(font["/BaseFont"])] = embedded
        for form in resources.get("/XObject", {}).values():
            inner = form.get_object().get("/Resources")
            if inner is not None:
                walk(inner)

    for page in read_pdf(data).pages:
        walk(page["/Resources"])
    return fonts


def read_shapes(data: bytes, page: int) -> tuple[list[tuple[float, ...]], list[tuple[float, ...]]]:
    """Return a page's rectangles and circles in millimetres of paper, in drawing order.

    Rectangles are (x, y, width, height); circles (x, y, radius), found as closed
    paths of four curves, as ISO 32000-1 clause 8.5.2 describes them.
    """
    rectangles: list[tuple[float, ...]] = []
    circles: list[tuple[float, ...]] = []
    path: list[tuple[float, float]] = []
    curves = 0

    def spot(x: float, y: float, cm: list[float]) -> tuple[float, float]:
        return (
            (cm[0] * x + cm[2] * y + cm[4]) / MM,
            (cm[1] * x + cm[3] * y + cm[5]) / MM,
        )

    def before(operator: bytes, operands: list[Any], cm: list[float], _tm: list[float]) -> None:
        nonlocal curves
        values = [float(value) for value in operands if isinstance(value, int | float)]
        if operator == b"re":
            low, high = (
                spot(*values[:2], cm),
                spot(values[0] + values[2], values[1] + values[3], cm),
            )
            rectangles.append((*low, high[0] - low[0], high[1] - low[1]))
        elif operator == b"m":
            path.clear()
            curves = 0
            path.append(spot(values[0], values[1], cm))
        elif operator == b"c":
            curves += 1
            path.append(spot(values[4], values[5], cm))
        elif operator in (b"S", b"s", b"B", b"b", b"f", b"f*", b"B*", b"n"):
            if curves == 4 and len(path) == 5:
                xs, ys = [x for x, _ in path], [y for _, y in path]
                middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
                circles.append((*middle, (max(xs) - min(xs)) / 2))
            path.clear()
            curves = 0

    read_pdf(data).pages[page].extract_text(visitor_operand_before=before)
    return rectangles, circles
