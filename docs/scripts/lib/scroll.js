// @ts-check
/**
 * Scrolling that stays put. Parts far from the screen are laid out only as they come near (`content-visibility`), so
 * the first jump to a step is a guess: it is repeated for a few frames, until the reader moves or the page has settled.
 */

const FRAMES = 8;
/** Ends the repeats of the last jump. */
let stop = () => {};

/** @param {() => void} jump */
function untilStill(jump) {
  stop();
  let left = FRAMES;
  const moves = ["wheel", "touchstart", "pointerdown", "keydown"];
  stop = () => {
    left = 0;
    for (const move of moves) removeEventListener(move, stop, true);
  };
  for (const move of moves) addEventListener(move, stop, true);
  const frame = () => {
    if (left-- <= 0) return stop();
    jump();
    requestAnimationFrame(frame);
  };
  frame();
}

/** Show a box below the header, or in the middle. @param {Element} box @param {"start" | "center"} block */
export function bringIntoView(box, block) {
  untilStill(() => box.scrollIntoView({ block, behavior: "instant" }));
}

/** Show a box with its upper edge at a height of the window. @param {Element} box @param {number} top px */
export function bringTo(box, top) {
  untilStill(() => scrollBy({ top: box.getBoundingClientRect().top - top, behavior: "instant" }));
}
