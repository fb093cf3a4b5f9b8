"""Money against volunteer hours, drawn: the one home of the plotting library.

Front door: `render_methods_plot`. Black on white, shapes not colours. The SVG
carries style attributes, which a page's content policy forbids inline: serve it
from an address of its own and show it with an image element, beside a table that
says the same.
"""

import re
from collections.abc import Sequence
from io import BytesIO, StringIO
from typing import Any, Literal

from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from orchard.domain.method_words import Method
from orchard.domain.methods import MethodRow

INK, PAPER = "black", "white"
SIZE_IN = (8.0, 4.2)
CLOSE = (Method.MULCH, Method.HAND_POCKETS, Method.POWERED_POCKETS)

_SETTINGS: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 9,
    "svg.fonttype": "path",
    "svg.hashsalt": "orchard",
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
}


def render_methods_plot(
    rows: Sequence[MethodRow],
    *,
    kind: Literal["svg", "png"],
    title: str = "",
    money_unit: str = "",
) -> bytes:
    """Return the plot of some ways of doing one piece of ground, as SVG or PNG bytes.

    Each way is a numbered point with the low and high of its hours; sensible
    ones are filled, the others hollow. The same rows give the same bytes.

    Args:
        rows: From `methods.compare_methods`, in the order of their numbers.
        kind: "svg" for the screen, "png" for what cannot show it.
        title: What ground it is.
        money_unit: Such as "€"; nothing if empty.
    """
    numbered = list(enumerate(rows, start=1))
    with rc_context(_SETTINGS):
        figure = Figure(figsize=SIZE_IN, layout="constrained", facecolor=PAPER)
        whole, near = figure.subplots(1, 2)
        whole.set_xscale("symlog", linthresh=10)
        whole.set_yscale("symlog", linthresh=100)
        _draw(whole, numbered, spread=False)
        whole.set_xlim(left=0)
        whole.set_ylim(bottom=-10)
        whole.set_title("all ways, steps of ten", loc="left", fontsize=9)
        whole.set_ylabel(f"money, {money_unit}" if money_unit else "money")
        _draw(near, [(n, row) for n, row in numbered if row.method in CLOSE], spread=True)
        near.set_title("enlarged: mulch and pockets", loc="left", fontsize=9)
        figure.suptitle(
            f"{title or 'Money against hours'}      ● sensible   □ another way is better",
            x=0.01,
            ha="left",
            fontsize=10,
        )
        figure.supxlabel("person-hours of volunteers (line: low to high)", fontsize=9)
        return _encode_svg(figure, title, rows) if kind == "svg" else _encode_png(figure)


def _draw(axes: Any, numbered: list[tuple[int, MethodRow]], *, spread: bool) -> None:
    for place, (number, row) in enumerate(numbered):
        hours, money = row.person_hours, row.money_cents / 100
        if not spread:
            low, high = row.effort.low_min / 60, row.effort.high_min / 60
            axes.hlines(money, low, high, colors=INK, linewidths=0.7)
        axes.plot(
            hours,
            money,
            marker="o" if row.sensible else "s",
            markersize=6,
            markerfacecolor=INK if row.sensible else PAPER,
            markeredgecolor=INK,
            linestyle="none",
        )
        # Numbers of the crowded ways are only legible in the enlarged half.
        if spread or row.method not in CLOSE:
            across = 7 if place % 2 == 0 else -12
            axes.annotate(str(number), (hours, money), (across, 4), textcoords="offset points")
    for scale in (axes.xaxis, axes.yaxis):
        scale.set_major_formatter(lambda value, _: f"{value:g}")
    axes.margins(0.12)
    axes.grid(visible=True, color="0.8", linewidth=0.5)
    axes.set_axisbelow(True)


def list_points(rows: Sequence[MethodRow]) -> tuple[str, ...]:
    """Return the plot in words, one sentence per numbered point: its text alternative."""
    return tuple(
        f"{number}. {row.label}: {row.person_hours:.0f} person-hours "
        f"({row.effort.low_min / 60:.0f} to {row.effort.high_min / 60:.0f}), "
        f"{row.money_cents / 100:.2f}{', sensible' if row.sensible else ''}."
        for number, row in enumerate(rows, start=1)
    )


def _encode_svg(figure: Figure, title: str, rows: Sequence[MethodRow]) -> bytes:
    text = StringIO()
    FigureCanvasAgg(figure)
    figure.savefig(text, format="svg", metadata={"Date": None, "Creator": None})
    # A reader of the image alone still finds out what it shows.
    words = _escape(" ".join([title or "Money against hours", *list_points(rows)]))
    svg = re.sub(r"(<svg [^>]*>)", rf"\1<title>{words}</title>", text.getvalue(), count=1)
    return svg.encode()


def _encode_png(figure: Figure) -> bytes:
    data = BytesIO()
    FigureCanvasAgg(figure)
    figure.savefig(data, format="png", dpi=150, metadata={"Software": None})
    return data.getvalue()


def _escape(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace("\\", "\\\\")
