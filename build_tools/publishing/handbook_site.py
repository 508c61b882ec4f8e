"""The handbook as a site: its files, its navigation, the last changes to each page. Whatever renders the Markdown asks it.

Content is loaded, checked and rendered before the first page is written; nothing is ever written into docs/.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from build_tools.browser import bundle, licenses, parts
from build_tools.checks import page_links
from build_tools.checks.check import load_and_check
from build_tools.content import decision_rules
from build_tools.content.handbook import Handbook
from build_tools.content.model import Procedure
from build_tools.content.page_order import by_subject, whole_jobs
from build_tools.content.problems import ContentError
from build_tools.content.shop import shop_calculators
from build_tools.errors import BuildFailed
from build_tools.exchange import compare_sites
from build_tools.exchange.checksums import sha256, written
from build_tools.pages import page_writer, safety_messages, search
from build_tools.pages.post import csp, running_head
from build_tools.pages.post.minify import minify, minify_styles
from build_tools.pages.render import page_data, render
from build_tools.paths import PROJECT, SCRATCH
from build_tools.publishing import inventory
from build_tools.publishing.preview import Made, Preview
from build_tools.publishing.publish import checksums

CHECKING_PAGE = "verify.html"


class HandbookSite:
    """One build: `files` by their address, `nav`, and `build`, twelve hex digits of all that makes the site.

    With a `preview`, while the handbook is written, content with mistakes leaves the last good pages up. Raises
    ContentError, BundleError, CopyError or FolderError.
    """

    def __init__(self, shop: Path | None = None, since: Path | None = None, preview: Preview | None = None) -> None:
        self._preview = preview
        try:
            made = _made(shop, since, maps=preview is not None)
            handbook, pages, assets = preview.keep(made, shop) if preview else made
        except ContentError as error:
            if preview is None:
                raise
            handbook, pages, assets = preview.last_good(error.problems, shop, lambda: _made(None, since, maps=True))
        data = page_data(handbook) | {"packs": bundle.listing(assets)}
        rules = decision_rules.as_json(handbook).rstrip()
        assets = assets | {f"pictures/{name}": path for name, path in handbook.pictures.items()}
        self.build = _build_id([pages, data, rules], assets)
        script = "self.handbook=" + json.dumps({"build": self.build, **data}, ensure_ascii=False, separators=(",", ":")) + ";\n"
        self.files: dict[str, str | bytes | Path] = {
            **pages,
            **assets,
            "assets/handbook-data.js": script,
            compare_sites.PLACE: inventory.as_json(inventory.contents_of(handbook, self.build)),
            "assets/decision-rules.js": f"self.decisionRules={rules};\n",
            safety_messages.PLACE: safety_messages.as_script(handbook, self.build),
        }
        self.nav = _nav(handbook, [uri for uri in ("changes.md",) if uri in pages])
        self._pages: list[search.Page] = []
        self._terms = [term.model_dump(mode="json") for term in handbook.terms.values()]

    def add_page(self, uri: str, title: str, kind: str, html: str) -> None:
        """Let a page be found by the search."""
        self._pages.append(search.Page(uri=uri, title=title, kind=kind, sections=search.sections(html)))

    def finished(self, html: str, source: str) -> str:
        """A page as it is written to disk. Raises BuildFailed for what the build did not put there."""
        html = running_head.with_running_head(html)
        # the live reload of `serve` is an inline script that no policy could name beforehand
        if self._preview:
            return self._preview.with_mistakes(html)
        try:
            return csp.with_policy(minify(html))
        except csp.Unexpected as fault:
            raise BuildFailed(
                [f"{source}: {fault}. Nothing but the build may put this there; this is a fault of the handbook, please report it."]
            ) from None

    def close(self, site: Path) -> None:
        """Write what follows from all pages: the search index, smaller styles, the checksum of the list."""
        for leftover in ("404.html", "sitemap.xml", "sitemap.xml.gz"):  # no use without a server, and outside the policy
            (site / leftover).unlink(missing_ok=True)
        target = site / "assets" / "search-index.js"
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(search.index(search.entries(self._pages), self._terms))
        for sheet in (site / "styles").glob("*.css"):
            sheet.write_text(minify_styles(sheet.read_text("utf-8")), "utf-8", newline="\n")
        _name_the_list(site)


def _made(shop: Path | None, since: Path | None, maps: bool) -> Made:
    """The handbook, sound, its pages, and the files that they load."""
    handbook, _ = load_and_check(shop=shop)
    changed = compare_sites.compare(compare_sites.read(since), inventory.contents_of(handbook)) if since else None
    pages = render(handbook, changed) | {"reference/licences.md": licenses.page()}
    dead = list(page_links.dead_links(handbook, set(pages)))
    if dead:
        raise ContentError(dead)
    files = bundle.bundle(
        PROJECT,
        SCRATCH,
        report=lambda line: print(line, flush=True),
        more={"calculators": shop_calculators.packed(handbook.calculator_files), "writer": page_writer.pack_content(PROJECT)},
        maps=maps,
    )
    return handbook, pages, files | parts.files()


def _build_id(content: list[object], assets: Mapping[str, bytes | Path]) -> str:
    """Twelve hex digits of everything that makes the site; the same content gives the same id on any machine."""
    digest = hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode())
    sources = (path for path in (PROJECT / "docs").rglob("*") if path.suffix in (".md", ".css", ".html") and "developers" not in path.parts)
    for path in sorted(sources):
        digest.update(path.read_bytes())
    for uri in sorted(assets):
        asset = assets[uri]
        digest.update(uri.encode() + (asset if isinstance(asset, bytes) else asset.read_bytes()))
    return digest.hexdigest()[:12]


def _nav(handbook: Handbook, first: list[str]) -> list[dict[str, list[str]]]:
    stock, own = handbook.stock_and_own()
    symptoms = [p for p in stock if p.kind == "diagnosis"]
    whole = [p for listed in by_subject(whole_jobs(stock)).values() for p in listed]
    parts = [p for p in stock if p not in whole and p not in symptoms]

    def references(group: str) -> list[str]:
        return [f"reference/{page.id}.md" for page in handbook.references.values() if page.group == group]

    def uris(procedures: Iterable[Procedure]) -> list[str]:
        return [f"procedures/{p.id}.md" for p in procedures]

    nav = [
        {"Start": ["index.md", *first, "using.md", "passing-on.md", "verify.md", "promises.md"]},
        {"Jobs": ["procedures/index.md", *uris(whole)]},
        {"Symptoms": ["procedures/symptoms.md", *uris(symptoms)] if symptoms else []},
        {"Parts of a job": uris(parts)},
        {"Calculators": ["calculators/index.md", *(f"calculators/{name}.md" for name in handbook.catalogue)]},
        {"Kinds of parts": references("parts")},
        {"Tables": references("tables")},
        {"Safety": ["reference/safety.md", *references("safety")]},
        {"Look up": [f"reference/{name}.md" for name in ("findings", "glossary", "coverage", "vehicles", "sources", "licences")]},
        {
            "Your shop’s own": [
                "write-a-page.md",
                "shop-pages.md",
                "shop-changes.md",
                "shop-keeping.md",
                "reference/shop-files.md",
                "mistakes/index.md",
            ]
        },
    ]
    if own or handbook.shop_pages:
        nav.append({handbook.shop.name if handbook.shop else "This shop": [*uris(own), *(f"shop/{uri}" for uri in handbook.shop_pages)]})
    return [entry for entry in nav if next(iter(entry.values()))]


def _name_the_list(site: Path) -> None:
    """Tell the page that checks a copy which list this build has, all but the page's own line: docs/scripts/shop/verify.js."""
    page = site / CHECKING_PAGE
    others = {name: digest for name, digest in checksums(site).items() if name != CHECKING_PAGE}
    page.write_text(
        page.read_text("utf-8").replace('data-list=""', f'data-list="{sha256(written(others).encode())}"'), "utf-8", newline="\n"
    )
