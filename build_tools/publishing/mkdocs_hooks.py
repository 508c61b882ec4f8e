"""The hooks of MkDocs: they forward to the handbook's site, and hold what only MkDocs needs.

`config.extra` carries what the command line said: `shop`, a folder, and `since`, an older site. A test puts a small site
of its own there, as `handbook_site`.
"""

from __future__ import annotations

import sys
from html import unescape
from pathlib import Path
from typing import Literal

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # MkDocs loads a hook file by its path, outside any package

from jinja2 import Environment
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from build_tools.content.problems import ContentError
from build_tools.content.report import report
from build_tools.errors import BuildFailed, BundleError, FolderError
from build_tools.exchange.shop_data import NAME as SHOP_DATA
from build_tools.exchange.untrusted import CopyError
from build_tools.publishing.handbook_site import HandbookSite
from build_tools.publishing.preview import Preview

SHOP_MARKDOWN = "build_tools.content.shop.shop_markdown"


class _Build:
    """What one build passes from hook to hook; under `serve` the preview passes on to the next."""

    preview: Preview | None = None
    site: HandbookSite


def on_startup(command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
    _Build.preview = Preview() if command == "serve" else None


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    if _Build.preview is None and (Path(config.site_dir) / SHOP_DATA).exists():
        raise PluginError(
            f"{Path(config.site_dir) / SHOP_DATA} holds this shop's own pages, and MkDocs by itself would remove it. Build with: python3 -m build_tools build"
        )
    try:
        _Build.site = config.extra.get("handbook_site") or HandbookSite(config.extra.get("shop"), config.extra.get("since"), _Build.preview)
    except ContentError as error:
        raise PluginError(report(error.problems)) from error
    except (BundleError, CopyError, FolderError) as error:
        raise PluginError(str(error)) from None
    config.extra["build"] = _Build.site.build
    config.nav = _Build.site.nav
    return config


def on_files(files: Files, config: MkDocsConfig) -> Files:
    for file in list(files):
        if file.src_uri.startswith("assets/"):  # the theme's own styles and scripts, which no page uses
            files.remove(file)
    for uri, content in _Build.site.files.items():
        if isinstance(content, Path):
            files.append(File.generated(config, uri, abs_src_path=str(content)))
        else:
            files.append(File.generated(config, uri, content=content))
    return files


def on_page_markdown(markdown: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    extensions = [name for name in config.markdown_extensions if name != SHOP_MARKDOWN]
    config.markdown_extensions = [*extensions, SHOP_MARKDOWN] if page.file.src_uri.startswith("shop/") else extensions
    return markdown


def on_env(env: Environment, config: MkDocsConfig, files: Files) -> Environment:
    """Every template of the theme escapes what it prints. What is markup already says so by `safe`, and a test lists it."""
    env.autoescape = True
    return env


def on_page_content(html: str, page: Page, config: MkDocsConfig, files: Files) -> str:
    _plain_titles(page)
    kind = "shop" if page.meta.get("shop") else page.meta.get("kind") or "page"
    if page.meta.get("search", True):
        _Build.site.add_page(page.file.dest_uri, page.title, kind, html)
    return html


def _plain_titles(page: Page) -> None:
    """MkDocs takes titles out of rendered headings, so they come as HTML without tags: text again, to be escaped once."""
    if "title" not in page.meta:
        page.title = unescape(page.title)
    links = [*page.toc]
    while links:
        link = links.pop()
        link.title = unescape(link.title)
        links += link.children


def on_post_page(output: str, page: Page, config: MkDocsConfig) -> str:
    try:
        return _Build.site.finished(output, page.file.src_uri)
    except BuildFailed as fault:
        raise PluginError(str(fault)) from None


def on_post_build(config: MkDocsConfig) -> None:
    _Build.site.close(Path(config.site_dir))
