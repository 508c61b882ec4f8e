"""A shop's changes to the handbook: put in by address, never silent about safety, and told on the page."""

from pathlib import Path

import pytest

from build_tools.checks import layout_walk
from build_tools.checks.check import check
from build_tools.content.handbook import Handbook
from build_tools.content.load import load
from build_tools.content.problems import ContentError
from build_tools.content.shop import shop_changes
from build_tools.pages.render import Pages, render
from build_tools.paths import PROJECT

STOCK = PROJECT / "site_data"
STEP = "wheel-and-torque/clean-wheel-faces"
FREE, NEXT = "pack-bearings/cover-outer-bearing", "pack-bearings/film-races"  # nothing waits for them or leads to them
HANDBOOK = load(STOCK)


@pytest.fixture(autouse=True)
def short_walk(monkeypatch):
    """Only the procedures that the changes here touch are walked: each test checks a handbook of its own."""
    whole = layout_walk.walk
    monkeypatch.setattr(
        layout_walk, "walk", lambda handbook, p: whole(handbook, p) if p.id in ("wheel-and-torque", "pack-bearings", "shake") else ([], 0)
    )


def page(handbook: Handbook, name: str = "wheel-and-torque") -> str:
    return Pages(handbook).procedure(handbook.procedures[name])


def stock_step(address: str = STEP):
    home, _, name = address.partition("/")
    return next(s for s in HANDBOOK.procedures[home].steps if getattr(s, "id", None) == name)


def change(do: str, more: str = "", step: str = STEP, made_for: str | None = None) -> str:
    return (
        f"  - step: {step}\n    do: {do}\n    made_for: {made_for or stock_step(step).hash}\n    date: 2026-11-27\n"
        f"    reason: A wheel came loose.\n    approver: shop lead\n{more}"
    )


def shop(tmp_path: Path, *changes: str, files: dict[str, str] | None = None) -> Path:
    folder = tmp_path / "our-shop"
    written = {"shop.yml": "name: Test shop (invented)\n", **(files or {})}
    if changes:
        written["changes/ours.yml"] = "changes:\n" + "".join(changes)
    for name, text in written.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    return folder


def loaded(tmp_path: Path, *changes: str, **more) -> Handbook:
    handbook = load(STOCK, shop(tmp_path, *changes, **more))
    assert [str(problem) for problem in check(handbook)[0]] == []
    return handbook


def said(tmp_path: Path, *changes: str, **more) -> list[str]:
    try:
        return [str(problem) for problem in check(load(STOCK, shop(tmp_path, *changes, **more)))[0]]
    except ContentError as error:
        return [str(problem) for problem in error.problems]


def ids(handbook: Handbook, home: str = "wheel-and-torque") -> list[str]:
    return [s.id for s in handbook.procedures[home].steps]


NEW = "    steps: [{id: our-look, do: Show the faces to a second person.}]\n"
OWN = "    steps: [{id: clean-wheel-faces, do: Clean the faces with the brush.}]\n"


def test_a_step_is_added_before_and_after_put_in_place_and_taken_out(tmp_path):
    stock = ids(HANDBOOK, "pack-bearings")
    at = stock.index("cover-outer-bearing")
    for do, more, expected in [
        ("before", NEW, [*stock[:at], "our-look", *stock[at:]]),
        ("after", NEW, [*stock[: at + 1], "our-look", *stock[at + 1 :]]),
        ("instead", OWN.replace("clean-wheel-faces", "cover-outer-bearing"), stock),
        ("remove", "", [*stock[:at], *stock[at + 1 :]]),
    ]:
        assert ids(loaded(tmp_path / do, change(do, more, FREE)), "pack-bearings") == expected, do


def test_a_step_in_place_of_another_keeps_its_address_and_not_its_hash(tmp_path):
    handbook = loaded(tmp_path, change("instead", OWN))
    new = next(s for s in handbook.procedures["wheel-and-torque"].steps if s.id == "clean-wheel-faces")
    assert new.do == "Clean the faces with the brush." and new.hash != stock_step().hash


def test_safety_messages_and_what_is_waited_for_stay_unless_taken_out_by_name_with_a_reason(tmp_path):
    own = "    steps: [{id: hang-wheel, do: Hang the wheel with the lift., fits: wheel}]\n"
    handbook = loaded(tmp_path, change("instead", OWN), change("instead", own, "wheel-and-torque/hang-wheel"))
    steps = {s.id: s for s in handbook.procedures["wheel-and-torque"].steps}
    assert steps["clean-wheel-faces"].cautions == stock_step().cautions == ["wheel-comes-loose"]
    assert steps["hang-wheel"].hold == stock_step("wheel-and-torque/hang-wheel").hold is not None


def test_a_safety_message_that_is_taken_out_is_told_in_its_place(tmp_path):
    handbook = loaded(tmp_path, change("caution", "    without: {wheel-comes-loose: It stands on the wall of the bay.}\n"))
    text = page(handbook)
    step = text[text.index('id="wheel-and-torque.clean-wheel-faces"') :].split("</li>")[0]
    assert 'data-caution="wheel-comes-loose"' not in step
    assert "Removed by the shop: WARNING, Wheel nuts and wheel bolts settle" in step and "It stands on the wall of the bay." in step


def test_a_page_tells_whose_a_step_is_with_reason_date_and_approver(tmp_path):
    handbook = loaded(tmp_path, change("after", NEW))
    for name in ("wheel-and-torque", "front-brake-service"):
        text = page(handbook, name)
        step = text[text.index('id="wheel-and-torque.our-look"') :].split("</li>")[0]
        assert "This shop’s own step. A wheel came loose." in step and "2026-11-27, approved by shop lead." in step
        assert "Test shop (invented) works otherwise at" in text
    assert "shop-note" not in page(handbook, "set-bearing")


def test_a_step_that_is_taken_out_is_told_where_it_stood_also_when_its_neighbor_goes_too(tmp_path):
    for number, order in enumerate(((FREE, NEXT), (NEXT, FREE))):
        text = page(loaded(tmp_path / str(number), *(change("remove", step=step) for step in order)), "pack-bearings")
        step = text[text.index('id="pack-bearings.film-hub"') :].split("</li>")[0]
        assert all(f"Removed by the shop: «{stock_step(address).do}»" in step for address in (FREE, NEXT)), step


def test_a_change_made_for_another_wording_builds_is_reported_and_marked(tmp_path):
    handbook = loaded(tmp_path, change("instead", OWN, made_for="0123456789ab"))
    (line,) = map(str, shop_changes.stale(handbook))
    assert line.startswith("our-shop/changes/ours.yml:4:15: S110 Look again") and f"made_for: {stock_step().hash}" in line
    assert "the shop has to look at it again" in page(handbook)
    assert list(shop_changes.stale(loaded(tmp_path / "again", change("instead", OWN)))) == []


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ([change("after", NEW), change("before", NEW)], "is changed in our-shop/changes/ours.yml:2 already"),
        ([change("after", NEW).replace(f"    made_for: {stock_step().hash}\n", "")], f"Example: made_for: {stock_step().hash}"),
        ([change("after", NEW.replace("our-look", "hang-wheel"))], "ids are never used again"),
        ([change("instead", NEW)], "keeps the id 'clean-wheel-faces'"),
        ([change("remove", step="set-bearing/sign-play")], "waits for this step or leads to it"),
        ([change("remove", NEW, FREE)], "need steps; remove and caution have none"),
        (
            [change("caution", "    without: {vehicle-falls: We have pits.}\n")],
            "No safety message of the handbook's step is called 'vehicle-falls'",
        ),
        ([change("after", NEW).replace("clean-wheel-faces", "clean-wheel-face")], "Did you mean 'clean-wheel-faces'?"),
        (
            [change("after", NEW.replace("do: Show the", "loosens: wheel-nut, do: Show the"), "shake/look-at-wheel")],
            "loosened here and never torqued",
        ),
        ([change("after", NEW.replace("do: Show", "cautions: no-such, do: Show"))], "ours.yml:8:"),
    ],
)
def test_what_cannot_be_changed_so_is_said_at_its_place(tmp_path, changes, says):
    lines = said(tmp_path, *changes)
    assert lines and all(line.startswith("our-shop/changes/ours.yml:") for line in lines), lines
    assert any(says in line for line in lines), lines


def test_a_whole_procedure_takes_the_place_of_the_handbooks_only_when_signed(tmp_path):
    text = (STOCK / "procedures" / "wheel-and-torque.yml").read_text()
    files = {"procedures/wheel-and-torque.yml": text}
    assert any("already defined in site_data/procedures/wheel-and-torque.yml" in line for line in said(tmp_path / "a", files=files))
    made_for = HANDBOOK.procedures["wheel-and-torque"].hash
    files["procedures/wheel-and-torque.yml"] += (
        f"replaces_stock: {{made_for: {made_for}, date: 2026-11-27, reason: Our own order., approver: shop lead}}\n"
    )
    handbook = loaded(tmp_path / "b", files=files)
    assert (
        "in place of the handbook’s: Our own order. 2026-11-27, approved by shop lead." in page(handbook)
        and list(shop_changes.stale(handbook)) == []
    )
    files["procedures/wheel-and-torque.yml"] = files["procedures/wheel-and-torque.yml"].replace(made_for, "0123456789ab")
    assert "Look again" in str(next(shop_changes.stale(loaded(tmp_path / "c", files=files))))


CAUTION = "id: brake-dust\nsignal: {signal}\nhazard: Dust.\nconsequence: It harms the lungs.\navoid: [Vacuum it off.]\nreplaces_stock: {{{made_for}date: 2026-11-27, reason: r, approver: a}}\n"


def test_a_safety_message_is_never_made_laxer(tmp_path):
    made_for = f"made_for: {HANDBOOK.cautions['brake-dust'].hash}, "
    laxer = said(tmp_path / "a", files={"cautions/brake-dust.yml": CAUTION.format(signal="notice", made_for=made_for)})
    assert any("cautions/brake-dust.yml:2:9:" in line and "never laxer" in line for line in laxer), laxer
    loaded(tmp_path / "b", files={"cautions/brake-dust.yml": CAUTION.format(signal="danger", made_for=made_for)})
    assert any(
        f"made_for: {HANDBOOK.cautions['brake-dust'].hash}" in line
        for line in said(tmp_path / "c", files={"cautions/brake-dust.yml": CAUTION.format(signal="danger", made_for="")})
    )


def test_pictures_stand_at_steps_and_an_unknown_one_is_said(tmp_path):
    folder = shop(tmp_path, change("after", NEW.replace("do: Show", "figure: our-jig, do: Show")))
    (folder / "pictures").mkdir()
    (folder / "pictures" / "our-jig.JPG").write_bytes(b"\xff\xd8\xff\xe0")
    handbook = load(STOCK, folder)
    assert check(handbook)[0] == [] and 'src="../pictures/our-jig.JPG"' in page(handbook)
    (folder / "pictures" / "our-jig.JPG").rename(folder / "pictures" / "our-gig.jpg")
    assert "Did you mean 'our-gig'?" in str(check(load(STOCK, folder))[0][0])
    (folder / "pictures" / "phone.heic").write_bytes(b"x")
    with pytest.raises(ContentError, match="save it as .jpg or .png"):
        load(STOCK, folder)


def test_a_plain_page_is_a_draft_until_its_head_says_who_approved_it(tmp_path):
    head = "---\nstate: approved\ndate: 2026-11-27\nreason: New bay.\napprover: shop lead\n---\n"
    files = {"pages/a.md": "# A\n", "pages/b.md": head + "# B\n"}
    pages = render(loaded(tmp_path, files=files))
    assert 'signed: "Draft: nobody has approved it yet."' in pages["shop/a.md"]
    assert 'signed: "2026-11-27: New bay. Approved by shop lead."' in pages["shop/b.md"] and "state: approved" not in pages["shop/b.md"]
    files["pages/b.md"] = head.replace("approver: shop lead\n", "") + "# B\n"
    (line,) = said(tmp_path / "bad", files=files)
    assert line.startswith("our-shop/pages/b.md:") and "names date and approver" in line
