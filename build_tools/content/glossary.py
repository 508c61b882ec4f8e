"""What an author means by a word of the trade: the glossary leads from any of its names to what the handbook calls the thing.

`lug-nut` is the wheel nut, `rotor.minimum` the discard thickness: names that no likeness of letters would ever lead to.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

from build_tools.content.handbook import Handbook
from build_tools.content.model import Term

Words = tuple[str, ...]


def meant(handbook: Handbook, name: str, known: Iterable[str]) -> list[str]:
    """Those of the known names that carry the glossary's term for this name."""
    asked, known = _words(name.removeprefix("end.").removeprefix("vehicle.")), list(dict.fromkeys(known))
    called = _called(handbook, set(known))
    found = [other for other in known if asked in called.get(other, ())] if asked else []
    return [other for other in found if _is_itself(handbook, other)] or found


def _is_itself(handbook: Handbook, name: str) -> bool:
    """Whether a part is what its term names, and not a thing beside it, as a bracket bolt is beside the bracket."""
    term = handbook.terms.get(handbook.components[name].term or "") if name in handbook.components else None
    return term is not None and _words(term.term) == _words(handbook.components[name].label)


def _called(handbook: Handbook, known: set[str]) -> dict[str, set[Words]]:
    """In which ways each of these may be called: parts, values of a sheet, layout questions, or the answers to one."""
    terms = handbook.terms
    if known <= set(handbook.components):
        return {name: {_words(handbook.components[name].label), *_names(terms.get(handbook.components[name].term or ""))} for name in known}
    values = {name: field for field in handbook.fields.values() for name in (field.id, field.path)}
    if known <= set(values):
        return {name: set(_of_value(handbook, values[name].id, values[name].label)) for name in known}
    if known <= set(handbook.axes):
        return {name: set(_names(terms.get(name.replace("_", "-")))) for name in known}
    answers = {
        value.id: value.label for axis in handbook.axes.values() for value in axis.values if known == {other.id for other in axis.values}
    }
    return {name: set(_names(_term_of(handbook, label))) for name, label in answers.items()}


def _of_value(handbook: Handbook, name: str, label: str) -> Iterator[Words]:
    """A value of a sheet is named as its group and what is measured there; both may be called otherwise."""
    group, _, rest = name.partition(".")
    groups = {_words(group), *_names(handbook.terms.get(group.replace("_", "-")))}
    rests = {_words(rest), _words(rest.removesuffix("_limit")), *_names(_term_of(handbook, label))} - {()}
    yield from _names(_term_of(handbook, label))
    yield from ((*first, *second) for first in groups for second in rests)


def _term_of(handbook: Handbook, label: str) -> Term | None:
    """The term of what a label names, which is at its end: the longest one."""
    said = f" {' '.join(_words(re.sub(r',.*| limit$', '', label)))}"
    found = [term for term in handbook.terms.values() if said.endswith(f" {' '.join(_words(term.term))}")]
    return max(found, key=lambda term: len(term.term), default=None)


def _names(term: Term | None) -> Iterator[Words]:
    if term is not None:
        yield from map(_words, (term.id, term.term, *term.american, *term.british))


def _words(text: str) -> Words:
    """The words of a name or a phrase without what stands in brackets, each in its singular."""
    plain = unicodedata.normalize("NFKD", re.sub(r"\(.*?\)", "", text)).encode("ascii", "ignore").decode().lower()
    return tuple(word.removesuffix("s") if len(word) > 3 and not word.endswith("ss") else word for word in re.findall(r"[a-z0-9]+", plain))
