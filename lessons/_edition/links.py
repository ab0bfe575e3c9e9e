"""Do links lead somewhere?  Between the pages of one edition, to anchors, and nowhere else."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import unquote, urlsplit

from bs4 import BeautifulSoup


def dead(pages: Mapping[str, str]) -> list[str]:
    """What is wrong with the links of these pages, {file name: HTML}, a phrase each.

    An address on the web is let be in a link, for a reader follows it or does not; whatever a page would
    fetch by itself (pictures, styles, scripts from elsewhere) is wrong.
    """
    parsed = {name: BeautifulSoup(html, "html.parser") for name, html in pages.items()}
    anchors = {name: [each["id"] for each in page.find_all(id=True)] for name, page in parsed.items()}
    wrong = []
    for name, page in parsed.items():
        twice = {anchor for anchor in anchors[name] if anchors[name].count(anchor) > 1}
        wrong += [f"{name} has the anchor {anchor} twice" for anchor in twice]
        for link in page.find_all("a"):
            wrong += [f"{name}: {said}" for said in _wrong(link.get("href"), name, anchors)]
        for each in page.find_all(src=True):
            if not each["src"].startswith("data:"):
                wrong.append(f"{name} fetches {each['src']}")
        wrong += [f"{name} fetches {each.get('href')}" for each in page.find_all("link")]
        if any("url(" in each.text or "@import" in each.text for each in page.find_all("style")):
            wrong.append(f"{name} has a style that fetches")
    return sorted(wrong)


def _wrong(href: str | None, here: str, anchors: Mapping[str, list[str]]) -> list[str]:
    if not href:
        return ["a link without an address"]
    address = urlsplit(href)
    if address.scheme in ("http", "https", "mailto"):
        return []
    to = unquote(address.path) or here
    if address.scheme or to not in anchors:
        return [f"no page {href}"]
    if address.fragment and unquote(address.fragment) not in anchors[to]:
        return [f"no anchor {href}"]
    return []
