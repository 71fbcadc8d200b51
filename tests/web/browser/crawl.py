"""Every page that can be reached by its links, and what is wrong with one."""

from dataclasses import dataclass, field
from urllib.parse import parse_qsl, urldefrag, urlencode, urlsplit

from playwright.sync_api import Page

MOST_PAGES = 120
LINKS = "() => [...document.querySelectorAll('a[href]:not([download])')].map((one) => one.href)"

# Controls smaller than a gloved finger. A link inside a sentence counts as text (WCAG 2.2, 2.5.8, exception for inline
# targets); a tick box counts with its label, which is touched as well.
SMALL = """(least) => {
  const seen = (one) => one.checkVisibility({visibilityProperty: true}) && one.getClientRects().length > 0;
  const inSentence = (one) => one.matches('a') && getComputedStyle(one).display === 'inline'
    && (one.closest('p, li, td, dd, small')?.textContent.trim().length ?? 0) > one.textContent.trim().length;
  const circleOf = (one) => one.matches('g[data-bolt]') && one.querySelector('circle');
  const ofCircle = (one) => { // its edge is touched too, and is no part of its box
    const size = (2 * one.r.baseVal.value + Number(one.getAttribute('stroke-width'))) * one.getScreenCTM().a;
    return {width: size, height: size};
  };
  const boxOf = (one) => circleOf(one) ? ofCircle(circleOf(one)) : (one.matches('[type=checkbox], [type=radio]') && one.closest('label') || one).getBoundingClientRect();
  const controls = document.querySelectorAll(
    'a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [data-bolt]');
  return [...controls].filter((one) => seen(one) && !one.matches('.skip') && !inSentence(one)).map((one) => {
    const {width, height} = boxOf(one);
    return [one.outerHTML.slice(0, 120), Math.round(width * 10) / 10, Math.round(height * 10) / 10];
  }).filter(([, width, height]) => width < least || height < least);
}"""

# What a page loads before anybody touches it, unpacked; pictures and frames with plots stand apart.
WEIGHT = """() => {
  const counted = (one) => !['img', 'iframe', 'image'].includes(one.initiatorType) && !one.name.includes('/live');
  const loaded = performance.getEntriesByType('resource').filter(counted);
  return [performance.getEntriesByType('navigation')[0], ...loaded].reduce((sum, one) => sum + one.decodedBodySize, 0);
}"""

AXE = """async (names) => {
  const extra = ['color-contrast-enhanced', 'target-size'];
  const byTag = {runOnly: {type: 'tag', values: names}, rules: Object.fromEntries(extra.map((one) => [one, {enabled: true}]))};
  const byRule = {runOnly: {type: 'rule', values: names}};
  const isRule = axe.getRules().some((one) => one.ruleId === names[0]);
  const {violations} = await axe.run(document, {...(isRule ? byRule : byTag), resultTypes: ['violations']});
  return violations.flatMap(({id, help, nodes}) => nodes.map((one) =>
    `${id} (${help}): ${one.html.slice(0, 160)} ${one.any.map((why) => why.message).join(' ').slice(0, 200)}`));
}"""
# What depends on colours and on the width of the screen.
LOOK = ["color-contrast-enhanced", "target-size", "scrollable-region-focusable"]
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@dataclass
class Crawled:
    """The addresses of all pages, and the links that lead to none."""

    pages: list[str] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)


def crawl(page: Page, *starts: str) -> Crawled:
    """Follow every link of every page; files and interfaces are asked for and left out."""
    found = Crawled()
    waiting = [(start, "the start") for start in starts]
    known = {plain(start) for start in starts}
    while waiting:
        address, linked_from = waiting.pop(0)
        head = page.request.get(address)
        if not head.ok:
            found.broken.append(
                f"{address}, linked from {linked_from}, answers {head.status}: {head.text()[:300]}"
            )
            continue
        html = head.headers.get("content-type", "").startswith("text/html")
        if not html or "attachment" in head.headers.get("content-disposition", ""):
            continue
        page.goto(address)
        if page.url in found.pages:
            continue  # this address only leads to another page
        found.pages.append(page.url)
        assert len(found.pages) <= MOST_PAGES, f"the pages have no end: {found.pages[-10:]}"
        for link in page.evaluate(LINKS):
            if urlsplit(link).netloc == urlsplit(starts[0]).netloc and plain(link) not in known:
                known.add(plain(link))
                waiting.append((urldefrag(link).url, page.url))
    return found


def plain(address: str) -> str:
    """The address without what only turns pages of a list, or steps of a plan."""
    parts = urlsplit(urldefrag(address).url)
    query = [
        (name, value) for name, value in parse_qsl(parts.query) if name not in {"before", "after", "step"}
    ]
    return parts._replace(query=urlencode(sorted(query))).geturl()


def open_everything(page: Page) -> None:
    """Open what can be folded, so that what is inside is looked at too."""
    page.evaluate("() => document.querySelectorAll('details').forEach((one) => { one.open = true; })")
