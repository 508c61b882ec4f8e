"""A page in fewer bytes reads the same."""

from html.parser import HTMLParser

import pytest

from build_tools.pages.post.minify import minify, minify_styles


@pytest.mark.parametrize(
    ("long", "short"),
    [
        ('<p class="x y" hidden="hidden">', '<p class="x y" hidden>'),
        ('<li data-record="data-record" id="a">', "<li data-record id=a>"),
        ('<a href="../reference/sources.html#a-b">', "<a href=../reference/sources.html#a-b>"),
        ('<a href="reference/">', '<a href="reference/">'),  # ends like a tag
        ('<a title="">', '<a title="">'),
        ('<div data-when="[{&quot;rotor&quot;:[&quot;hub&quot;]}]">', """<div data-when='[{"rotor":["hub"]}]'>"""),
        ('<input name="name" value="value">', "<input name=name value=value>"),  # a value of its own
        ('<a title="it&#39;s &quot;so&quot;">', '<a title="it&#39;s &quot;so&quot;">'),  # holds both quotes
        ('<a title="hidden=&quot;hidden&quot; > x">', """<a title='hidden="hidden" > x'>"""),
        ('<a title="a=b">', '<a title="a=b">'),
        ("<p>a</p>\n\n<p>b</p> <b>c</b> <i>d</i>\n", "<p>a</p><p>b</p><b>c</b> <i>d</i>\n"),
        ('<p>hidden="hidden" &quot;text&quot;</p>', '<p>hidden="hidden" &quot;text&quot;</p>'),
    ],
)
def test_what_is_written_short(long, short):
    assert minify(long) == short


class Heard(HTMLParser):
    def __init__(self, html):
        super().__init__()
        self.heard = []
        self.feed(html)

    def handle_starttag(self, tag, attributes):
        present = {name: "" if value in (None, name) else value for name, value in attributes}
        self.heard.append((tag, present))

    def handle_data(self, data):
        self.heard.append(data)


def test_a_parser_hears_the_same():
    html = (
        '<main><p hidden="hidden" data-outcomes="{&quot;low&quot;:{&quot;say&quot;:&quot;a &lt;b&gt; &amp; c&quot;}}">'
        "a &quot;b&quot;</p><input disabled='disabled' value='x &quot; y'><br/></main>"
    )
    assert Heard(minify(html)).heard == Heard(html).heard


def test_a_style_sheet_loses_its_comments_and_nothing_else():
    css = """/* Head.
   Two lines. */
a { color: red; /* why */ content: "/* text */"; } /* end */
b { background: url("data:image/svg+xml,%3Csvg d='M5 */ 1'/%3E"); }
"""
    assert (
        minify_styles(css)
        == """a { color: red; content: "/* text */"; } b { background: url("data:image/svg+xml,%3Csvg d='M5 */ 1'/%3E"); }
"""
    )
