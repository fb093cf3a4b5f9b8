"""How a page is looked at: by axe, and for what hangs over the edge, wide and narrow."""

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

WIDTHS_PX = (1280, 320)
# WCAG 2.2 at levels A and AA: https://www.w3.org/TR/WCAG22/, as axe-core tags its rules.
WCAG_22_AA = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]

_ASK_AXE = """tags => axe.run(document, {
    runOnly: {type: "tag", values: tags}, resultTypes: ["violations"]
}).then(found => ({
    passes: found.passes.length,
    faults: found.violations.map(fault => [
        fault.id, fault.nodes.slice(0, 3).map(node => node.html.slice(0, 120))
    ])
}))"""


def look_at(page: Page) -> list[str]:
    """Return what is wrong with the page as it stands open, at both widths; nothing loads anew."""
    size = page.viewport_size
    found = []
    for width_px in WIDTHS_PX:
        page.set_viewport_size({"width": width_px, "height": 800})
        where = f"{page.url} at {width_px} px"
        found += [f"{where}: {fault}" for fault in find_faults(page)]
        if over := overhang_px(page):
            found.append(f"{where}: {over} px hang over")
    if size is not None:
        page.set_viewport_size(size)
    return found


def find_faults(page: Page) -> list[str]:
    """Return what axe finds against WCAG 2.2 AA: the rule and the places."""
    if not page.evaluate("typeof axe === 'object'"):
        page.evaluate(AXE_SCRIPT)
    answer = page.evaluate(_ASK_AXE, WCAG_22_AA)
    assert answer["passes"], "axe judged nothing"
    return [f"{rule}: {places}" for rule, places in answer["faults"]]


def overhang_px(page: Page) -> int:
    """Return how far the page can be scrolled sideways (WCAG 2.2, 1.4.10 Reflow: not at 320)."""
    width = page.locator("html").evaluate("html => html.scrollWidth - window.innerWidth")
    return max(0, int(width))
