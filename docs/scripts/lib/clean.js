// @ts-check
/**
 * HTML out of a file that anybody may have edited: only what the handbook's own pages are made of stays an element.
 * Everything else is shown as the text that it holds, so that nothing runs, leads away or disappears unseen.
 */

const TAGS = new Set(
  `a abbr article b blockquote br caption code dd details div dl dt em fieldset figcaption figure form h1 h2 h3 h4 h5 h6 hr i img input
  label legend li ol option p pre section select small span strong sub summary sup table tbody td textarea tfoot th thead tr ul`.split(
    /\s+/,
  ),
);
const ATTRIBUTES = new Set(
  `align alt autocapitalize autocomplete checked class colspan for hidden id inputmode lang loading novalidate open role rowspan rows
  scope selected spellcheck start title value`.split(/\s+/),
);
const CONTROLS = new Set(["input", "select", "textarea"]);
const INPUTS = ["text", "checkbox", "radio"];
const SCHEMES = ["http", "https", "mailto", "tel"]; // as in build_tools/content/shop/shop_markdown.py

/** The cleaned content of a text of HTML, and how many elements were no part of a page. @param {string} html @returns {{content: DocumentFragment, foreign: number}} */
export function cleaned(html) {
  const parsed = new DOMParser().parseFromString(html, "text/html");
  let foreign = 0;
  // Cleaned in the document that was parsed, which runs nothing: in the page's own, an <audio> would start to load and
  // its handler run before anybody has looked at it.
  const content = parsed.createDocumentFragment();
  // What a browser moves into the head, such as a refresh, is looked at like the rest.
  content.append(...parsed.head.childNodes, ...parsed.body.childNodes);
  for (const each of content.querySelectorAll("*")) {
    if (!content.contains(each)) continue; // went with what it stood in
    if (isDescription(each)) continue;
    if (each.namespaceURI === "http://www.w3.org/1999/xhtml" && TAGS.has(each.localName)) strip(each);
    else {
      foreign += 1;
      each.replaceWith(each.textContent ?? "");
    }
  }
  for (const each of content.querySelectorAll("script")) strip(each);
  return { content, foreign };
}

/** The data of a calculator's form: a block of JSON, which no browser runs. @param {Element} element */
function isDescription(element) {
  return element.matches('form.calculator script.calculator__description[type="application/json"]') && element instanceof HTMLScriptElement;
}

/** @param {Element} element */
function strip(element) {
  for (const { name, value } of [...element.attributes]) if (!mayStay(element, name, value)) element.removeAttribute(name);
}

/** @param {Element} element @param {string} name @param {string} value */
function mayStay(element, name, value) {
  if (/^(data|aria)-[a-z0-9-]+$/.test(name) || ATTRIBUTES.has(name)) return true;
  if (name === "name") return CONTROLS.has(element.localName);
  if (name === "type") return element.localName === "input" ? INPUTS.includes(value.toLowerCase()) : element.localName === "script";
  if (name === "href") return element.localName === "a" && mayLead(value);
  return name === "src" && element.localName === "img" && schemeOf(value) === "";
}

/** @param {string} address */
function mayLead(address) {
  const scheme = schemeOf(address);
  return scheme === "" || SCHEMES.includes(scheme);
}

/** The scheme of an address as a browser reads it; "" for one within the handbook, "//" for another host. @param {string} address */
function schemeOf(address) {
  const text = address.replace(/[\0-\x20]/g, "");
  if (/^[/\\]{2}/.test(text)) return "//";
  const [before, colon] = [text.split(/[/?#]/, 1)[0], text.split(/[/?#]/, 1)[0].includes(":")];
  return colon ? before.slice(0, before.indexOf(":")).toLowerCase() : "";
}
