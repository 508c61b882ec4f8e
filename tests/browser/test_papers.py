"""The papers of a job: what is off, loose or open, the sheets, the customer's page, the comparison with an earlier job."""
import pytest

from build_tools.bundle import bundled_script
from tests.browser.procedure_page import PROJECT

EFFECTS = """
import { stateOf } from "%s/docs/scripts/effects.js";
import { Progress, readSteps } from "%s/docs/scripts/steps.js";
self.told = (effects, done, axle) => {
  const article = document.createElement("article");
  for (const [id, [per, what, more]] of Object.entries(effects)) {
    const box = document.createElement("li");
    box.className = "step";
    Object.assign(box.dataset, { step: `job/${id}`, number: id, for: per, effects: JSON.stringify(what), ...more });
    article.append(box);
  }
  const steps = readSteps(article);
  const entries = done.map(([id, place, kind = "done"], index) => ({
    id: `${index}`, step: `job/${id}`, place, kind, hash: null, typed: {}, verdict: null,
    ...(kind.startsWith("came ") ? { kind: "finding", typed: { outcome: kind.slice(5) }, verdict: { code: kind.slice(5), text: "" } } : {}) }));
  const state = stateOf(new Progress(entries, axle, steps), steps);
  return Object.entries(state).flatMap(([list, items]) => items.map(({ name, place, step }) => `${list} ${name} ${place} ${step.number}`));
};
"""
WORK = {
    "wheel-off": ("side", {"takes_off": ["wheel"], "loosens": ["wheel-nut"]}),
    "hose-off": ("side", {"opens": ["caliper-inlet"]}),
    "hose-on": ("side", {"closes": ["caliper-inlet"]}, {"outcomes": '{"wet": "job/hose-on"}'}),
    "bleed": ("side", {"opens": ["bleeder-port"], "closes": ["bleeder-port"], "bleeds": ["caliper-inlet", "bleeder-port"]}),
    "leak-check": ("axle", {"leak_checks": ["caliper-inlet", "bleeder-port"]}),
    "wheel-on": ("side", {"fits": ["wheel"]}),
    "wheel-nuts": ("side", {"torques": ["wheel-nut"]}, {"outcomes": '{"again": "job/wheel-on"}'}),
    "cap-off": ("axle", {"takes_off": ["cap"]}),
    "cap-on": ("side", {"fits": ["cap"]}),
}
OPENED = [("hose-off", "LF")]


@pytest.fixture(scope="module")
def told(chromium, tmp_path_factory):
    entry = tmp_path_factory.mktemp("effects") / "entry.js"
    entry.write_text(EFFECTS.replace("%s", PROJECT.as_posix()), "utf-8")
    page = chromium.new_page()
    page.add_script_tag(content=bundled_script(PROJECT, entry))
    yield lambda done, axle="front": page.evaluate("([effects, done, axle]) => told(effects, done, axle)", [WORK, done, axle])
    page.close()


# A joint that was opened is closed, then bled, then checked for leaks, whichever the order of the steps in the page;
# the rule of each is that of the walk over every layout, tried in tests/build.
@pytest.mark.parametrize("done, left", [
    ([], []),
    ([("wheel-off", "LF")], ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"]),
    ([("wheel-off", "LF"), ("wheel-on", "LF")], ["loose wheel nut LF wheel-off"]),
    ([("wheel-off", "LF"), ("wheel-on", "RF"), ("wheel-nuts", "RF")], ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"]),
    ([("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF")], []),
    # done in another order than the page has them: what was last undone counts
    ([("wheel-on", "LF"), ("wheel-nuts", "LF"), ("wheel-off", "LF")], ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"]),
    # «does not apply» neither takes off nor puts right
    ([("wheel-off", "LF", "not-applicable")], []),
    ([("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF", "not-applicable")], ["loose wheel nut LF wheel-off"]),
    # an outcome that leads back opens the closing steps again
    ([("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF", "came again")], ["off wheel LF wheel-off", "loose wheel nut LF wheel-off"]),
    (OPENED, ["open caliper inlet LF hose-off", "unbled caliper inlet LF hose-off", "unchecked caliper inlet LF hose-off"]),
    ([*OPENED, ("hose-on", "LF")], ["unbled caliper inlet LF hose-off", "unchecked caliper inlet LF hose-off"]),
    # bled while still open counts for nothing; the bleeder itself was opened and closed in the same step
    ([*OPENED, ("bleed", "LF"), ("hose-on", "LF")],
     ["unbled caliper inlet LF hose-off", "unchecked caliper inlet LF hose-off", "unchecked bleeder port LF bleed"]),
    ([*OPENED, ("hose-on", "LF"), ("bleed", "LF"), ("leak-check", "front")], []),
    ([*OPENED, ("hose-off", "RF"), ("hose-on", "LF"), ("bleed", "LF"), ("bleed", "RF"), ("leak-check", "front")],
     ["open caliper inlet RF hose-off", "unbled caliper inlet RF hose-off", "unchecked caliper inlet RF hose-off"]),
    ([("cap-off", "front"), ("cap-on", "LF")], ["off cap RF cap-off"]),
])
def test_what_is_off_loose_or_open(told, done, left):
    assert told(done) == left


def test_state_counts_both_axles_of_a_job(told):
    assert told([("wheel-off", "LR"), ("wheel-off", "LF"), ("wheel-on", "LF"), ("wheel-nuts", "LF")]) == ["off wheel LR wheel-off", "loose wheel nut LR wheel-off"]
