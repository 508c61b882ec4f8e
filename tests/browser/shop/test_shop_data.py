"""The shop's own saved pages: a missing file, a page of another build, and a file that somebody has edited."""

from __future__ import annotations

import re
import shutil

import pytest

from build_tools.browser.bundle import bundled_script
from build_tools.exchange import shop_data
from build_tools.paths import PROJECT
from tests.browser.procedure_page import FIXTURES
from tests.browser.shop_pages import RULES, address, write_shop_data
from tests.browser.whole_site import KINDS, opened_page, text, violations


@pytest.fixture
def copy(site, tmp_path):
    return shutil.copytree(site, tmp_path / "stick")


def message(word: str, name: str, hazard: str) -> str:
    return (
        f'<div class="caution caution--{word}" role="note" data-caution="{name}"><p class="caution__word">{word.upper()}</p>'
        f'<p class="caution__hazard">{hazard}</p><p class="caution__consequence">It hurts.</p><p class="caution__avoid">Stay clear.</p></div>'
    )


# ---------------------------------------------------------------- no file


@pytest.mark.parametrize("served", [False, True], ids=["file", "http"])
def test_a_missing_file_is_normal_on_every_kind_of_page(browser, site, http_server, served):
    assert not (site / shop_data.NAME).exists()
    with opened_page(browser) as page:
        for path in (*KINDS.values(), "own/page.html", "write-a-page.html", "verify.html"):
            page.goto((http_server if served else site.as_uri() + "/") + path)
            page.locator(".search").wait_for()
            assert page.locator(".not-started").count() == 0, path
            assert page.evaluate("self.shopData") is None
        assert page.said == []


def test_the_list_of_files_speaks_of_none_and_the_start_page_says_how_to_upgrade(site):
    assert shop_data.NAME not in (site / "SHA256SUMS").read_text("utf-8")
    for page in ("START-HERE.html", "passing-on.html"):
        said = re.sub(r"<[^>]+>|\s+", " ", (site / page).read_text("utf-8"))
        assert "shop-data.js" in said and "older" in said, page


# ---------------------------------------------------------------- saved with another build


def test_safety_messages_of_a_saved_page_read_as_they_do_now(browser, copy):
    own = message("notice", "our-floor", "Our floor is smooth.")
    old = message("danger", "vehicle-falls", "Words of the day before yesterday.")
    gone = message("warning", "flying-bolts", "Bolts that fly.")
    step = (
        '<ol class="steps" data-part="set-bearing"><li class="step" id="set-bearing.x" data-step="set-bearing/read-end-play" data-hash="000000000000" data-number="2.1" data-for="side">'
        f'{own}<p class="step__do">Read it.</p></li></ol>'
    )
    write_shop_data(
        copy,
        {"procedures/ours.yml": f'<h1>Ours</h1><div class="safety">{old}{gone}</div>{step}'},
        files={"procedures/ours.yml": "id: ours\n", "cautions/our-floor.yml": "id: our-floor\n"},
    )
    with opened_page(browser) as page:
        page.goto(address(copy, "procedures/ours.yml"))
        box = page.locator(".own-safety")
        box.wait_for()
        build = page.locator('meta[name="handbook:build"]').get_attribute("content")
        assert f"This page was saved with build 0123456789ab of the handbook. This copy is build {build}." in text(box)
        groups = dict(
            zip(
                box.locator(".own-safety__group").all_inner_texts(),
                [each.locator("li").all_inner_texts() for each in box.locator("ul").all()],
                strict=True,
            )
        )
        now = page.evaluate("self.handbookSafety")
        assert groups["Changed, shown with today’s wording:"] == [now["messages"]["vehicle-falls"][0]]
        assert groups["No longer in the handbook here, still shown:"] == ["WARNING: Bolts that fly."]
        wanted = {now["messages"][name][0] for name in now["procedures"]["set-bearing"]["cautions"] if name != "vehicle-falls"}
        assert wanted <= set(groups.get("New, added where they belong:", []))
        assert "Words of the day before yesterday." not in page.locator("main").inner_text()
        assert (
            page.locator('[data-caution="flying-bolts"]').is_visible()
            and page.locator('[data-caution="our-floor"] .own-safety__gone').count() == 0
        )
        assert "Steps of the handbook whose content changed: 2.1." in text(box)
        assert "in the parts used here" in text(box)
        assert violations(page) == [] and page.said == []


def test_a_step_gets_the_messages_that_it_has_now(chromium, copy):
    with opened_page(chromium) as page:
        page.goto((copy / "own/page.html").as_uri())
        now = page.evaluate("self.handbookSafety")
        home, name, ids = next(
            (home, name, ids[1:]) for home, each in now["procedures"].items() for name, ids in each["steps"].items() if len(ids) > 1
        )
        html = f'<h1>Ours</h1><ol><li class="step" data-step="{home}/{name}" data-hash="{now["procedures"][home]["steps"][name][0]}"><p class="step__do">Do it.</p></li></ol>'
        write_shop_data(copy, {"procedures/ours.yml": html})
        page.goto(address(copy, "procedures/ours.yml"))
        page.locator(".own-safety").wait_for()
        order = page.locator(".step").evaluate("(step) => [...step.children].map((each) => each.dataset.caution ?? each.className)")
        assert order[: len(ids) + 1] == [*ids, "step__do"]


def test_a_page_of_this_build_says_nothing_and_one_that_differs_in_nothing_is_quiet(chromium, copy):
    with opened_page(chromium) as page:
        page.goto((copy / "index.html").as_uri())
        build = page.locator('meta[name="handbook:build"]').get_attribute("content")
        write_shop_data(copy, {RULES: "<h1>Rules</h1><p>Torque by hand.</p>"}, build=build)
        page.goto(address(copy, RULES))
        assert text(page.locator("h1")) == "Rules" and page.locator(".own-safety").count() == 0
        write_shop_data(copy, {RULES: "<h1>Rules</h1><p>Torque by hand.</p>"}, build="")
        page.goto(address(copy, RULES))
        assert "an earlier version of the handbook" in text(page.locator(".own-safety"))
        assert "have not changed since" in text(page.locator(".own-safety"))
        (copy / "assets/safety.js").unlink()
        page.goto(address(copy, RULES))
        assert "assets/safety.js is missing or damaged" in text(page.locator(".own-safety"))


def test_only_the_page_of_the_shop_loads_the_messages(site):
    loading = [path.name for path in site.rglob("*.html") if "assets/safety.js" in path.read_text("utf-8")]
    assert loading == ["page.html"]


def test_links_of_a_saved_procedure_lead_to_pages(chromium, copy):
    html = '<h1>Ours</h1><a href="bleed-gravity.html#bleed-gravity.x">one</a> <a href="other.html#other.y">two</a> <a href="../reference/sources.html#s">three</a>'
    write_shop_data(copy, {"procedures/ours.yml": html}, files={"procedures/ours.yml": "x", "procedures/other.yml": "x"})
    with opened_page(chromium) as page:
        page.goto(address(copy, "procedures/ours.yml"))
        links = page.locator("#content a").evaluate_all("all => all.map((each) => each.getAttribute('href'))")
        assert [link for link in links if "write-a-page" not in link] == [
            "../procedures/bleed-gravity.html#bleed-gravity.x",
            "page.html?procedures/other.yml#other.y",
            "../reference/sources.html#s",
        ]


# ---------------------------------------------------------------- edited by somebody

HOSTILE = {
    "refresh": '<meta http-equiv="refresh" content="0;url=about:blank">',
    "refresh in the text": '<p>x</p><meta http-equiv=refresh content="0;url=about:blank"><p>y</p>',
    "script": "<script>self.ran = 1</script>",
    "foreign script": "<svg><script>self.ran = 1</script></svg>",
    "handler": '<img src="../drawings/mark.svg" onload="self.ran = 1">',
    "frame": '<iframe srcdoc="<script>parent.ran = 1</script>"></iframe><object data="about:blank"></object><embed src="about:blank">',
    "link": '<a href="java&#10;script:self.ran=1">go</a>',
    "base": '<base href="about:blank">',
    "form": '<form action="about:blank"><button formaction="about:blank">Go</button><input type="submit"></form>',
    "style": '<style>body { display: none }</style><p style="display: none">x</p><link rel="stylesheet" href="x.css">',
    "host": '<img src="//nowhere.invalid/x.png"><img src="https://nowhere.invalid/y.png"><a href="//nowhere.invalid">x</a>',
    "template": "<template><script>self.ran = 1</script></template>",
}


@pytest.mark.parametrize("trick", HOSTILE)
def test_html_that_no_page_is_made_of_is_shown_as_text(browser, copy, trick):
    write_shop_data(copy, {RULES: f"<h1>Rules</h1>{HOSTILE[trick]}<p>The last line.</p>"})
    with opened_page(browser) as page:
        page.goto(address(copy, RULES))
        page.locator("#content p", has_text="The last line.").wait_for()
        main = page.locator("#content")
        assert (
            main.locator(
                "meta, script, svg, iframe, object, embed, base, style, link, template, button, [onload], [style], [action], [formaction], [type=submit]"
            ).count()
            == 0
        )
        found = main.locator("a, img").evaluate_all("all => all.map((each) => each.getAttribute('href') ?? each.getAttribute('src') ?? '')")
        assert [each for each in found if "script:" in each or "//" in each] == []
        assert page.evaluate("self.ran") is None and page.url == address(copy, RULES)
        # The page's policy holds already where the text is only read, and a browser may say so.
        assert [line for line in page.said if "policy" not in line.lower() and "blocked an" not in line] == []


def test_all_that_the_handbooks_own_pages_are_made_of_stays(chromium, site):
    """Every procedure and table as it was built, cleaned, has the same elements with the same attributes."""
    with opened_page(chromium) as page:
        page.goto((site / "index.html").as_uri())
        page.evaluate(bundled_script(PROJECT, FIXTURES / "clean.js"))
        for path in sorted((site / "procedures").glob("*.html")):
            article = re.search(r"<article.*</article>", path.read_text("utf-8"), re.DOTALL)
            if not article:
                continue
            lost = page.evaluate(
                """(html) => {
                const all = (root) => [...root.querySelectorAll("*")].map((each) => `${each.localName} ${[...each.attributes].map(({name, value}) => `${name}=${value}`).sort().join(" ")}`);
                const raw = all(new DOMParser().parseFromString(html, "text/html").body), kept = new Set(all(self.cleaned(html).content));
                return raw.filter((each) => !kept.has(each));
            }""",
                article[0],
            )
            assert lost == [], path.name


def test_the_list_of_the_shops_pages_shows_their_fingerprint(browser, copy):
    file = write_shop_data(copy, {RULES: "<h1>Rules</h1><p>Torque by hand.</p>"})
    wanted = shop_data.read(file.read_bytes()).fingerprint[:16]
    with opened_page(browser) as page:
        page.goto((copy / "index.html").as_uri())
        page.locator(".contents > summary").click()
        line = page.locator(".contents__shop-data", has_text="Fingerprint")
        line.wait_for()
        assert text(line) == f"shop-data.js: 1 page, 0 vehicle sheets, as they were saved. Fingerprint {wanted}."
        file.write_text(file.read_text("utf-8").replace("by hand", "by band"), "utf-8")
        page.reload()
        page.locator(".contents > summary").click()
        page.locator(".contents__shop-data", has_text="Changed or damaged since it was saved").wait_for()
        assert violations(page) == [] and page.said == []


# ---------------------------------------------------------------- addresses and starts that fail


@pytest.mark.parametrize(
    "place",
    [
        "index.html?100%",
        "index.html#%",
        "own/page.html?%",
        "own/page.html?pages/x.md#%E0",
        "procedures/measure-rotor.html?100%#%",
        "procedures/measure-rotor.html#layout=axle:%&at=%",
        "write-a-page.html?%#%",
    ],
)
def test_a_stray_percent_sign_in_the_address_stops_nothing(browser, site, place):
    with opened_page(browser) as page:
        page.goto(f"{site.as_uri()}/{place}")
        page.locator(".search").wait_for()
        assert page.locator(".not-started").count() == 0
        if "procedures" in place:
            page.locator(".job-bar__name").wait_for()
        assert page.said == []


def test_every_address_is_read_in_one_place():
    scripts = {path.name: path.read_text("utf-8") for path in (PROJECT / "docs/scripts").rglob("*.*js")}
    assert [name for name, source in scripts.items() if re.search(r"\bdecodeURI(Component)?\(", source)] == ["address.js"]


@pytest.mark.parametrize(
    ("broken", "named"),
    [
        ("Element.prototype.toggleAttribute = () => { throw new Error('no'); };", "the switches for units, type and detail"),
        (
            "const find = Document.prototype.querySelector; Document.prototype.querySelector = function (what) { if (what === '.search') throw new Error('no'); return find.call(this, what); };",
            "the search",
        ),
    ],
)
def test_a_part_that_fails_at_its_start_is_named_and_the_others_start(browser, site, broken, named):
    with opened_page(browser, broken) as page:
        page.goto((site / "procedures/measure-rotor.html").as_uri())
        line = page.locator(".not-started--said", has_text=named)
        line.wait_for()
        assert text(line).startswith("Not working on this page: ")
        page.locator(".job-bar__name").wait_for()


@pytest.mark.parametrize(
    ("lost", "place"),
    [
        ("assets/handbook.js", "procedures/measure-rotor.html"),
        ("assets/handbook-data.js", "procedures/measure-rotor.html"),
        ("assets/shop-tools.js", "write-a-page.html"),
        ("assets/shop-tools.js", "verify.html"),
        ("assets/own-page.js", "own/page.html"),
    ],
)
@pytest.mark.parametrize("how", ["missing", "cut"])
def test_a_missing_or_cut_script_is_said_on_the_page(browser, copy, lost, place, how):
    file = copy / lost
    if how == "missing":
        file.unlink()
    else:
        content = file.read_bytes()
        file.write_bytes(content[: len(content) // 2])
    with opened_page(browser) as page:
        page.goto((copy / place).as_uri())
        line = page.locator(".not-started")
        line.wait_for()
        assert lost in text(line) and "Copy the handbook again." in text(line)
