"""The content-security policy of a page: the handbook's own files run, and what else stands in a page fails the build."""

import re

import pytest

from build_tools.pages.post.csp import Unexpected, policy, with_policy
from build_tools.pages.post.running_head import with_running_head

PAGE = "<!doctype html><html><head><meta charset=utf-8></head><body>{}</body></html>"


@pytest.mark.parametrize(
    "markup",
    [
        "<script>run()</script>",
        "<SCRIPT>run()</SCRIPT>",
        "<script type=module>run()</script>",
        '<script type="text/javascript">run()</script>',
        "<script>never closed",
        "<script/src=a.js>",
        '<script src="https://elsewhere.invalid/a.js"></script>',
        "<script src=//elsewhere.invalid/a.js></script>",
        "<p onclick=run()>x</p>",
        '<img src="a.png"onerror="run()">',
        "<img/onerror=run()>",
        "<svg ONLOAD=run()></svg>",
        "<style>p{}</style>",
        "<p style=color:red>x</p>",
        "<p STYLE='a:\"b\"'>x</p>",
        "<iframe srcdoc=x></iframe>",
        "<object data=a></object>",
        "<base href=/>",
        '<meta http-equiv="refresh" content="0">',
        "<link rel=preconnect href=a>",
        "<link rel=prefetch href=a>",
        '<a href="javascript:run()">x</a>',
        '<a href="java&#115;cript:run()">x</a>',
        '<a href=" \tjavascript:run()">x</a>',
        "<a href=data:text/html,x>x</a>",
        "<img src=https://elsewhere.invalid/a.png>",
        "<form action=javascript:run()></form>",
    ],
)
def test_what_the_build_did_not_put_there_fails_it_and_is_named(markup):
    with pytest.raises(Unexpected) as raised:
        with_policy(PAGE.format(markup))
    assert markup.split(">")[0][:20].lower() in str(raised.value).lower()


@pytest.mark.parametrize(
    "markup",
    [
        '<script src="a.js"></script>',
        "<script SRC=a.js></script>",
        '<script type="application/json">{"a": "<b onclick=x>"}</script>',
        "<script type='text/template'><b></b></script>",
        '<a href="https://elsewhere.invalid/">x</a>',
        '<a href="mailto:a@b.invalid">x</a>',
        '<a href="../a.html#b:c">x</a>',
        '<p title="the style=old way onclick=x">x</p>',
        '<p data-when=\'["a>b"]\' data-style="x">x</p>',
        "<p>onclick=x</p>",
    ],
)
def test_what_is_the_builds_own_stays_as_it_is(markup):
    assert markup in with_policy(PAGE.format(markup))


def test_policy_comes_first_in_the_head():
    page = with_policy(PAGE.format(""))
    assert re.search(r"<head>\s*<meta http-equiv=\"Content-Security-Policy\"", page)


def test_policy_lets_python_start_and_nothing_else_in():
    rules = dict(rule.split(" ", 1) for rule in policy().split("; "))
    assert rules["default-src"] == "'none'"
    assert "'wasm-unsafe-eval'" in rules["script-src"]
    assert rules["worker-src"] == "blob:"
    assert rules["connect-src"] == "'self'"
    assert rules["style-src"] == "'self'"
    assert "'unsafe-inline'" not in policy() and "'unsafe-eval'" not in policy()
    assert "http" not in policy()


def test_the_alignment_of_a_table_becomes_an_attribute():
    page = with_policy(PAGE.format('<td style="text-align: right;">1</td>'))
    assert '<td align="right">1</td>' in page


def test_a_page_without_a_head_is_refused():
    with pytest.raises(ValueError, match="needs a <head>"):
        with_policy("<p>no head</p>")


def test_running_head_names_procedure_revision_and_build():
    page = (
        '<!doctype html><html lang="en"><head><title>Front &amp; rear</title>'
        '<meta name="handbook:build" content="1a2b"></head>'
        '<body><article class="procedure" data-procedure="front-brake-service" data-revision="3"></article></body></html>'
    )
    assert '<html data-running-head="Front &amp; rear · front-brake-service · revision 3 · build 1a2b" lang="en">' in with_running_head(
        page
    )
