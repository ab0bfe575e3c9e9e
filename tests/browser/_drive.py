"""Hands and eyes for benches in a browser: move, type, wait for the picture, and look for what is cut off."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator

from playwright.sync_api import Locator

from tests.browser._harness import PATIENCE, OpenNotebook

SETTLED = """
async (root, [before, patience]) => {
  const count = () => root.querySelector('[data-drawing]').dataset.drawing;
  const end = performance.now() + patience;
  for (let last = before, calm = 0; last === before || calm < 4; ) {
    if (last === before && performance.now() > end) return false;
    await new Promise(done => setTimeout(done, 60));
    calm = count() === last ? calm + 1 : 0;
    last = count();
  }
  return true;
}
"""

CUT_OFF = """
root => {
  const page = root.closest('.jp-OutputArea').getBoundingClientRect(), found = [];
  const written = '.widget-label, button, select, input, .widget-html-content';
  for (const part of root.querySelectorAll(written)) {
    const box = part.getBoundingClientRect();
    if (box.width === 0 || part.querySelector('.solarlab-drawing, style')) continue;
    const wide = part.scrollWidth > part.clientWidth + 1, high = part.scrollHeight > part.clientHeight + 3;
    const outside = box.right > page.right + 1 || box.left < page.left - 1;
    if (part.clientWidth > 0 && (wide || high) || outside)
      found.push(`${part.textContent || part.value || part.className} is cut off`);
  }
  return found;
}
"""


def cut_off(shown: Locator) -> list[str]:
    """What of a bench or a prediction is clipped or sticks out of its cell: labels, boxes, buttons, words."""
    return shown.evaluate(CUT_OFF)


def picture(bench: Locator) -> tuple[str, str]:
    """A digest of the picture that a bench shows now, and its alt text."""
    image = bench.locator("[data-drawing] img")
    return hashlib.sha256(image.get_attribute("src").encode()).hexdigest(), image.get_attribute("alt")


def after(bench: Locator, act: Callable[[], object]) -> tuple[str, str]:
    """Do something that makes a new picture, wait until pictures stop coming, and return the last."""
    before = bench.locator("[data-drawing]").get_attribute("data-drawing")
    act()
    assert bench.evaluate(SETTLED, [before, PATIENCE]), "no new picture came"
    return picture(bench)


def move(bench: Locator, knob: Locator, act: Callable[[], object]) -> tuple[str, str]:
    """Move a slider, which may stand there already, and return the picture then."""
    before = bench.locator("[data-drawing]").get_attribute("data-drawing")
    place = knob.get_attribute("aria-valuenow")
    act()
    if knob.get_attribute("aria-valuenow") != place:
        assert bench.evaluate(SETTLED, [before, PATIENCE]), "no new picture came"
    return picture(bench)


def handle(bench: Locator, label: str) -> Locator:
    """The knob of a slider, by its label."""
    cell = bench.locator(".solarlab-cell").filter(has=bench.page.get_by_label(label, exact=True))
    return cell.locator(".noUi-handle")


def type_into(bench: Locator, label: str, text: str) -> str:
    """Type a value, press Enter, wait for the picture; return what the box then shows."""
    box = bench.get_by_label(label, exact=True)

    def act() -> None:
        box.fill(text)
        box.press("Enter")

    after(bench, act)
    return box.input_value()


def answer_predictions(opened: OpenNotebook, number: str = "60") -> int:
    """Answer every prediction of a notebook somehow, so that what they lock opens; how many there were."""
    asked = opened.page.locator(".jp-OutputArea .solarlab").filter(
        has=opened.page.get_by_text("How sure are you?")
    )
    for form in asked.all():
        if form.get_by_role("radio").count():
            form.get_by_role("radio").first.check()
        else:
            form.get_by_label("Your prediction").fill(number)
        form.get_by_role("button", name="a guess").click()
        form.get_by_role("button", name="Write it down").click()
        form.get_by_role("status").filter(has_text="Written down").wait_for()
    return asked.count()


def sweep(bench: Locator) -> list[str]:
    """Move every slider of a bench to both ends and the middle; return what went wrong, a sentence each.

    A slider that changes nothing at the start is tried again under every choice and tick of the bench, and
    with each other slider at its high end: it may have a say only there.
    """
    wrong = cut_off(bench)
    for cell in bench.locator(".solarlab-cell").filter(has=bench.page.locator(".noUi-handle")).all():
        label = cell.locator(".widget-text .widget-label").inner_text()
        for settle in [lambda: None, *_other_settings(bench)]:
            settle()
            changed, said = _to_the_ends(bench, cell)
            wrong += [f"{label}, {what}" for what in said]
            after(bench, bench.get_by_role("button", name="Back to the start").click)
            if changed:
                break
        else:
            wrong.append(f"{label}: the picture never changes")
    return wrong


def _other_settings(bench: Locator) -> Iterator[Callable[[], object]]:
    for select in bench.locator(".solarlab-cell select").all():
        for index in range(select.locator("option").count()):
            if select.evaluate("e => e.selectedIndex") == index:
                continue
            choose = lambda select=select, index=index: select.select_option(index=index)  # noqa: E731
            yield lambda choose=choose: after(bench, choose)
    for box in bench.get_by_role("checkbox").all():
        yield lambda box=box: after(bench, box.click)
    for knob in bench.locator(".noUi-handle").all():
        yield lambda knob=knob: move(bench, knob, lambda: knob.press("End"))


def _to_the_ends(bench: Locator, cell: Locator) -> tuple[bool, list[str]]:
    """Whether the picture changes as one slider goes to its ends and its middle, and what went wrong."""
    knob, wrong, seen = cell.locator(".noUi-handle"), [], set()
    if cell.locator("input:disabled").count():
        return False, []
    moves = {
        "low end": lambda: knob.press("Home"),
        "high end": lambda: knob.press("End"),
        "middle": lambda: cell.locator(".noUi-base").click(),
    }
    for name, act in moves.items():
        seen.add(move(bench, knob, act))
        for said in bench.get_by_role("alert").all_inner_texts():
            if said.startswith("Not worked out"):
                wrong.append(f"{name}: {said}")
        wrong += [f"{name}: {what}" for what in cut_off(bench)]
    return len(seen) > 1, wrong
