"""The content-security policy of a page.

Checked against W3C Content Security Policy Level 3 and Level 2 (hash-source:
base64 of the SHA-256 of the script's text) and the HTML Standard (4.12.1: a
script with a type that is not JavaScript is data).
"""

import re

import pytest

from build_tools.policy import inline_script_hashes, policy, with_policy
from build_tools.running_head import with_running_head

PAGE = "<!doctype html><html><head><meta charset=utf-8></head><body>{}</body></html>"


def test_hash_is_the_one_the_standard_prints():
    # CSP Level 2, 7.17.1 (and Level 3, 8.3): the page prints this very hash
    # for the script «alert('Hello, world.');».
    assert inline_script_hashes("<script>alert('Hello, world.');</script>") == ["'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"]


def test_line_ends_are_normalised_before_hashing():
    # HTML Standard 13.2.3.5: a browser reads CR LF and CR as LF.
    assert inline_script_hashes("<script>a\r\nb\rc</script>") == inline_script_hashes("<script>a\nb\nc</script>")


@pytest.mark.parametrize(
    "script",
    [
        '<script src="a.js"></script>',
        "<script SRC=a.js></script>",
        '<script type="application/json">{}</script>',
        "<script type='text/template'><b></b></script>",
    ],
)
def test_data_and_files_need_no_hash(script):
    assert inline_script_hashes(script) == []


@pytest.mark.parametrize("kind", ["", ' type="text/javascript"', ' type="module"', " defer"])
def test_every_inline_script_that_runs_is_hashed(kind):
    assert len(inline_script_hashes(f"<script{kind}>run()</script>")) == 1


def test_policy_comes_first_in_the_head():
    page = with_policy(PAGE.format(""))
    assert re.search(r"<head>\s*<meta http-equiv=\"Content-Security-Policy\"", page)


def test_policy_lets_python_start_and_nothing_else_in():
    rules = dict(rule.split(" ", 1) for rule in policy("").split("; "))
    assert rules["default-src"] == "'none'"
    assert "'wasm-unsafe-eval'" in rules["script-src"]
    assert rules["worker-src"] == "blob:"
    assert rules["connect-src"] == "'self'"
    assert rules["style-src"] == "'self'"
    assert "'unsafe-inline'" not in policy("") and "'unsafe-eval'" not in policy("")
    assert "http" not in policy("")


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('<td style="text-align: right;">1</td>', '<td align="right">1</td>'),
        ('<p class="a" style="color:red" id=b>x</p>', '<p class="a" id=b>x</p>'),
        ("<p style=color:red>x</p>", "<p>x</p>"),
        ("<p STYLE='a:\"b\"'>x</p>", "<p>x</p>"),
        ("<style>p{}</style><p>x</p>", "<p>x</p>"),
        # what only looks like one stays
        ('<p title="the style=old way">x</p>', '<p title="the style=old way">x</p>'),
        ('<p data-when=\'["a>b"]\' data-style="x">x</p>', '<p data-when=\'["a>b"]\' data-style="x">x</p>'),
        ('<p>style="color:red"</p>', '<p>style="color:red"</p>'),
        ("<script>t='<p style=\"a\">'</script>", "<script>t='<p style=\"a\">'</script>"),
    ],
)
def test_inline_styles_go_and_alignment_stays(before, after):
    assert after + "</body>" in with_policy(PAGE.format(before))


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
