// @ts-check
/** The pages that a shop wrote in the browser, in the contents of this copy. own-page.js shows one. */

import { pageAsked } from "../lib/address.js";
import { element } from "../lib/elements.js";
import { metaContent } from "../store/handbook-data.js";
import { addressOf, held, saysOf, shopData } from "../store/shop-data.js";

export function startOwnPages() {
  const { pages } = shopData();
  if (pages.length) addToContents(pages, /\/own\/page\.html$/.test(location.pathname) ? pageAsked() : "");
}

/** @param {import("../store/shop-data.js").OwnPage[]} pages @param {string} here */
function addToContents(pages, here) {
  const list = document.querySelector(".contents__panel > .contents__list");
  const root = metaContent("root") || ".";
  const links = [...pages]
    .sort((a, b) => a.title.localeCompare(b.title))
    .map(({ file, title }) => {
      const link = element("a", "", title);
      link.href = `${root}/${addressOf(file)}`;
      if (file === here) link.setAttribute("aria-current", "page");
      return element("li", "", link);
    });
  const state = element("li", "contents__shop-data");
  list?.append(
    element(
      "li",
      "",
      element("span", here ? "contents__here" : "", "Written by this shop"),
      element("ul", "contents__list", ...links, state),
    ),
  );
  // Worked out when somebody looks: it takes a moment, and every page has this list.
  const panel = /** @type {HTMLDetailsElement | null} */ (list?.closest("details.contents"));
  panel?.addEventListener("toggle", () => {
    const found = held();
    if (panel.open && found && !state.textContent) state.textContent = saysOf(found);
  });
}
