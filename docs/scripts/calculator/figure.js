// @ts-check
/** A calculator's figure, copied into the page element by element: only drawing, nothing that runs or loads. */

const SVG = "http://www.w3.org/2000/svg";
const ELEMENTS = new Set(
  "svg g path line polyline polygon rect circle ellipse text tspan title desc defs pattern marker clipPath".split(" "),
);
const ATTRIBUTES = new Set(
  (
    "viewBox width height x y x1 y1 x2 y2 cx cy r rx ry d points dx dy transform id class role aria-label aria-labelledby " +
    "aria-hidden fill fill-opacity fill-rule stroke stroke-width stroke-opacity stroke-dasharray stroke-dashoffset " +
    "stroke-linecap stroke-linejoin opacity font-size font-weight font-family text-anchor dominant-baseline letter-spacing " +
    "patternUnits patternTransform patternContentUnits markerWidth markerHeight markerUnits refX refY orient " +
    "marker-start marker-mid marker-end clip-path clipPathUnits clip-rule vector-effect preserveAspectRatio"
  ).split(" "),
);
/** A reference may only point inside the drawing. */
const REFERENCE = /url\s*\(/i;
const OWN_REFERENCE = /^\s*url\(#[\w-]+\)\s*$/;

/**
 * @param {string} text SVG
 * @returns {SVGElement | null} null when the text is not a drawing
 */
export function figure(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  const root = parsed.documentElement;
  if (root.localName !== "svg" || root.namespaceURI !== SVG || parsed.querySelector("parsererror")) return null;
  return copy(root);
}

/** @param {Element} source @returns {SVGElement} */
function copy(source) {
  const made = document.createElementNS(SVG, source.localName);
  for (const { name, value } of source.attributes) {
    if (ATTRIBUTES.has(name) && (!REFERENCE.test(value) || OWN_REFERENCE.test(value))) made.setAttribute(name, value);
  }
  for (const child of source.childNodes) {
    if (child.nodeType === Node.TEXT_NODE) made.append(child.nodeValue ?? "");
    else if (child instanceof Element && child.namespaceURI === SVG && ELEMENTS.has(child.localName)) made.append(copy(child));
  }
  return made;
}
