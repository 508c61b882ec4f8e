"""The glue between the handbook and MkDocs: everything MkDocs-specific is here, and nothing else is.

Content is loaded, checked and rendered before the first page is written; nothing is ever written into docs/.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from html import unescape
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT))  # MkDocs loads a hook file by its path, outside any package

from mkdocs.exceptions import PluginError
from mkdocs.structure.files import File

from build_tools import contents, live
from build_tools.browser import bundle, licences, parts
from build_tools.checks import page_links
from build_tools.checks.check import load_and_check
from build_tools.content import decision_rules, shop_calculators
from build_tools.content.page_order import by_subject, whole_jobs
from build_tools.content.problems import ContentError
from build_tools.content.report import report
from build_tools.errors import BundleError, FolderError
from build_tools.exchange import compare_sites
from build_tools.exchange.checksums import sha256, written
from build_tools.exchange.shop_data import NAME as SHOP_DATA
from build_tools.exchange.untrusted import CopyError
from build_tools.pages import safety_messages, search
from build_tools.pages.post import csp, running_head
from build_tools.pages.post.minify import compact, compact_styles
from build_tools.pages.render import page_data, render
from build_tools.publish import checksums
from calculators import catalogue

CHECKING_PAGE = "verify.html"
SHOP_MARKDOWN = "build_tools.content.shop_markdown"


class _Build:
    """What one build passes from hook to hook."""

    serving = False
    generated: dict[str, str | bytes | Path] = {}
    pages: list[search.Page] = []
    terms: list[dict] = []


def on_startup(command, dirty):
    _Build.serving = command == "serve"


def on_config(config):
    if not _Build.serving and (Path(config.site_dir) / SHOP_DATA).exists():
        raise PluginError(
            f"{Path(config.site_dir) / SHOP_DATA} holds this shop's own pages, and MkDocs by itself would remove it. Build with: python3 -m build_tools build"
        )
    shop = Path(os.environ["HANDBOOK_SHOP"]) if os.environ.get("HANDBOOK_SHOP") else None
    try:
        try:
            handbook, pages, assets = live.keep(_made(shop), shop)
        except ContentError as error:
            if not _Build.serving:
                raise
            handbook, pages, assets = live.last_good(error.problems, shop, lambda: _made(None))
    except ContentError as error:
        raise PluginError(report(error.problems)) from error
    except (BundleError, CopyError, FolderError) as error:
        raise PluginError(str(error)) from None
    data = page_data(handbook) | {"packs": bundle.listing(assets)}
    rules = decision_rules.as_json(handbook).rstrip()
    assets = assets | {f"pictures/{name}": path for name, path in handbook.pictures.items()}
    build = _build_id([pages, data, rules], assets)
    script = "self.handbook=" + json.dumps({"build": build, **data}, ensure_ascii=False, separators=(",", ":")) + ";\n"
    _Build.generated = {
        **pages,
        **assets,
        "assets/handbook-data.js": script,
        compare_sites.PLACE: contents.as_json(contents.contents_of(handbook, build)),
        "assets/decision-rules.js": f"self.decisionRules={rules};\n",
        safety_messages.PLACE: safety_messages.as_script(handbook, build),
    }
    _Build.pages = []
    _Build.terms = [term.model_dump(mode="json") for term in handbook.terms.values()]
    config.extra["build"] = build
    config.nav = _nav(handbook, [uri for uri in ("changes.md",) if uri in pages])
    return config


def _made(shop: Path | None):
    """The handbook, sound, its pages, and the files that they load."""
    handbook, _ = load_and_check(shop=shop)
    since = os.environ.get("HANDBOOK_SINCE")
    changed = compare_sites.compare(compare_sites.read(Path(since)), contents.contents_of(handbook)) if since else None
    pages = render(handbook, changed) | {"reference/licences.md": licences.page()}
    dead = list(page_links.dead_links(handbook, set(pages)))
    if dead:
        raise ContentError(dead)
    own = shop_calculators.packed(handbook.calculators)
    return handbook, pages, bundle.bundle(PROJECT, PROJECT / ".build", report=lambda line: print(line, flush=True), own=own) | parts.files()


def _build_id(content: list, assets: dict) -> str:
    """Twelve hex digits of everything that makes the site; the same content gives the same id on any machine."""
    digest = hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode())
    for path in sorted(path for path in (PROJECT / "docs").rglob("*") if path.suffix in (".md", ".css", ".html")):
        digest.update(path.read_bytes())
    for uri in sorted(assets):
        content = assets[uri]
        digest.update(uri.encode() + (content if isinstance(content, bytes) else Path(content).read_bytes()))
    return digest.hexdigest()[:12]


def _nav(handbook, first: list[str]) -> list:
    stock, own = handbook.stock_and_own()
    symptoms = [p for p in stock if p.kind == "diagnosis"]
    whole = [p for listed in by_subject(whole_jobs(stock)).values() for p in listed]
    parts = [p for p in stock if p not in whole and p not in symptoms]

    def references(group):
        return [f"reference/{page.id}.md" for page in handbook.references.values() if page.group == group]

    def uris(procedures):
        return [f"procedures/{p.id}.md" for p in procedures]

    nav = [
        {"Start": ["index.md", *first, "using.md", "passing-on.md", "verify.md", "promises.md"]},
        {"Jobs": ["procedures/index.md", *uris(whole)]},
        {"Symptoms": ["procedures/symptoms.md", *uris(symptoms)] if symptoms else []},
        {"Parts of a job": uris(parts)},
        {"Calculators": ["calculators/index.md", *(f"calculators/{name}.md" for name in catalogue())]},
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


def on_files(files, config):
    for file in list(files):
        if file.src_uri.startswith("assets/"):  # the theme's own styles and scripts, which no page uses
            files.remove(file)
    for uri, content in _Build.generated.items():
        if isinstance(content, Path):
            files.append(File.generated(config, uri, abs_src_path=str(content)))
        else:
            files.append(File.generated(config, uri, content=content))
    return files


def on_page_markdown(markdown, page, config, files):
    extensions = [name for name in config.markdown_extensions if name != SHOP_MARKDOWN]
    config.markdown_extensions = [*extensions, SHOP_MARKDOWN] if page.file.src_uri.startswith("shop/") else extensions
    return markdown


def on_env(env, config, files):
    """Every template of the theme escapes what it prints. What is markup already says so by `safe`, and a test lists it."""
    env.autoescape = True
    return env


def on_page_content(html, page, config, files):
    _plain_titles(page)
    kind = "shop" if page.meta.get("shop") else page.meta.get("kind") or "page"
    if page.meta.get("search", True):
        _Build.pages.append(search.Page(uri=page.file.dest_uri, title=page.title, kind=kind, sections=search.sections(html)))
    return html


def _plain_titles(page) -> None:
    """MkDocs takes titles out of rendered headings, so they come as HTML without tags: text again, to be escaped once."""
    if "title" not in page.meta:
        page.title = unescape(page.title)
    links = [*page.toc]
    while links:
        link = links.pop()
        link.title = unescape(link.title)
        links += link.children


def on_post_page(output, page, config):
    output = running_head.with_running_head(output)
    # the live reload of `serve` is an inline script that no policy could name beforehand
    if _Build.serving:
        return live.with_mistakes(output)
    try:
        return csp.with_policy(compact(output))
    except csp.Unexpected as fault:
        raise PluginError(
            f"{page.file.src_uri}: {fault}. Nothing but the build may put this there; this is a fault of the handbook, please report it."
        ) from None


def on_post_build(config):
    shop_calculators.take({})  # the catalogue is the handbook's own again
    site = Path(config.site_dir)
    for leftover in ("404.html", "sitemap.xml", "sitemap.xml.gz"):  # no use without a server, and outside the policy
        (site / leftover).unlink(missing_ok=True)
    target = site / "assets" / "search-index.js"
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(search.index(search.entries(_Build.pages), _Build.terms))
    for sheet in (site / "styles").glob("*.css"):
        sheet.write_text(compact_styles(sheet.read_text("utf-8")), "utf-8", newline="\n")
    _name_the_list(site)


def _name_the_list(site: Path) -> None:
    """Tell the page that checks a copy which list this build has, all but the page's own line: docs/scripts/verify.js."""
    page = site / CHECKING_PAGE
    others = {name: digest for name, digest in checksums(site).items() if name != CHECKING_PAGE}
    page.write_text(
        page.read_text("utf-8").replace('data-list=""', f'data-list="{sha256(written(others).encode())}"'), "utf-8", newline="\n"
    )
