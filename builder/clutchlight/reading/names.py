"""Names that a breeder writes → the looks and traits they stand for: case, other names, combos, several looks in a breath.

A name that fits two loci (lines that look alike) asks which one, or takes the words "(line not known)": such a look is
shown but counts at neither locus, so both read as cannot-tell.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from clutchlight.model import Locus, Species
from clutchlight.reading.findings import Findings, in_words, nearest
from clutchlight.reading.text import WrittenText, one_case, slug_of

_LINE_NOT_KNOWN = re.compile(r"(?P<name>.*?)\s*\(\s*line\s+(?:not\s+known|unknown)\s*\)", re.IGNORECASE)
_APART = re.compile(r"\s*[,+&]\s*")
_HET = re.compile(
    r"(?:(?:\d+\s*%\s*)?(?:pos(?:s|sible)?\.?\s+)?(?:double\s+|triple\s+)?hets?|[dpt]h)\b\.?\s*", re.IGNORECASE
)
EITHER = r"(?P<one>[^,;()]+?) or (?P<other>[^,;()]+?) \(one of the two\)"
"""As we say ourselves of what carries one of two alleles, without our knowing which: 50% of each."""
MAX_LOOKS_LENGTH = 300
MAX_NAME = 40
_PLAIN_NAME = re.compile(r"[^\W_](?:[\w .'-]*\w)?")
_NORMAL = re.compile(r"(?:(?P<first>normal)(?:\s+|$))?(?P<rest>.*?)(?:(?:^|\s+)(?P<last>normal))?", re.IGNORECASE)
_WORD = re.compile(r"\S+")


class Meaning(NamedTuple):
    """What one name stands for: looks, each with its locus. A combo has several."""

    looks: tuple[str, ...]
    loci: tuple[str, ...]


class Shown(NamedTuple):
    """The looks behind what was written; `loose`: shown with the line not known; `untold`: what that leaves open."""

    looks: tuple[str, ...]
    loose: tuple[str, ...]
    untold: tuple[str, ...]
    sound: bool


class Names:
    """All names of one species. `quiet`: a traits file of this species is at fault, so unknown names are not reported."""

    def __init__(self, species: Species, quiet: bool = False) -> None:
        self.species, self.quiet = species, quiet
        self.meanings: dict[str, dict[Meaning, None]] = {}
        self.spelled: dict[str, str] = {}
        self.traits: dict[str, dict[tuple[str, str], None]] = {}
        for key, locus in species.loci.items():
            for look in locus.look_names:
                for name in (look, *locus.also_called.get(look, ())):
                    self._add(name, Meaning((look,), (key,)))
                    if look in locus.alleles:
                        self.traits.setdefault(one_case(name), {})[key, look] = None
        for name, looks in species.combos.items():
            self._add(name, Meaning(looks, tuple(species.locus_of_look[look][0] for look in looks)))
        self.longest = max((len(name.split()) for name in self.meanings), default=1)

    def _add(self, name: str, meaning: Meaning) -> None:
        self.meanings.setdefault(one_case(name), {})[meaning] = None
        self.spelled.setdefault(one_case(name), name)

    # ---- looks

    def shown(self, written: Sequence[WrittenText], findings: Findings) -> Shown:
        """The looks behind the texts of a `shows`; () of looks is a normal animal."""
        looks: dict[str, None] = {}
        loose: dict[str, None] = {}
        untold: dict[str, None] = {}
        normal: WrittenText | None = None
        sound = True
        for text in written:
            if len(text) > MAX_LOOKS_LENGTH:
                said = "this is too long to be looks; name looks only, and write the rest as prose"
                findings.report(text.place, "unknown-look", said)
                sound = False
                continue
            for whole in text.pieces(_APART):
                piece, plain = self._without_normal(whole)
                normal = plain or normal
                if piece is None:
                    continue
                line = _LINE_NOT_KNOWN.fullmatch(piece)
                if line is None:
                    found = self._breath(piece, findings)
                    looks.update(dict.fromkeys(found or ()))
                elif found := self._line_not_known(piece.part(line["name"], 0), findings):
                    loose[self.spelled[one_case(line["name"])]] = None
                    untold.update(dict.fromkeys(found))
                sound = sound and found is not None
        if normal is not None and (looks or loose):
            said = "'normal' stands beside another look; leave it out, since normal means that no trait shows"
            findings.report(normal.place, "normal-and-more", said)
            sound = False
        return Shown(self.species.in_order(looks), tuple(loose), tuple(untold), sound)

    def _without_normal(self, piece: WrittenText) -> tuple[WrittenText | None, WrittenText | None]:
        """What stands beside the word `normal` at either end of a piece, and that word; None where there is none."""
        found = _NORMAL.fullmatch(piece)
        if found is None or one_case(piece) in self.meanings or not (found["first"] or found["last"]):
            return piece, None
        word = "first" if found["first"] else "last"
        rest = piece.group(found, "rest") if found["rest"] else None
        return rest, piece.group(found, word)

    def _line_not_known(self, name: WrittenText, findings: Findings) -> tuple[str, ...] | None:
        """One allele of each locus that the name fits: naming it in cannot-tell covers the locus."""
        meanings = self.meanings.get(one_case(name))
        if meanings is None:
            self._unknown_look(name, name, findings)
            return None
        loci = dict.fromkeys(key for meaning in meanings for key in meaning.loci)
        if len(meanings) < 2:
            said = f"'{name}' fits only one locus, '{next(iter(loci))}'; leave out the words in brackets"
            findings.report(name.place, "one-line-only", said)
            return None
        return tuple(self.species.loci[key].alleles[0] for key in loci)

    def _breath(self, piece: WrittenText, findings: Findings) -> tuple[str, ...] | None:
        """The looks of "Pastel Banana": the fewest names that the words can be parted into."""
        words = [piece.group(found) for found in _WORD.finditer(piece)]
        ways = self._ways(words)
        if not ways[-1]:
            reached = max(index for index, found in enumerate(ways) if found)
            rest = words[reached].part(" ".join(words[reached:]), 0)
            self._unknown_look(rest, piece, findings)
            return None
        if len(ways[-1]) > 1:
            readings = [" and ".join(self._names_of(words, way)) for way in ways[-1]]
            said = f"'{piece}' can be read as {in_words(readings)}; write the looks as a list"
            findings.report(piece.place, "ambiguous-look", said)
            return None
        meant = [(name, tuple(self.meanings[one_case(name)])) for name in self._names_of(words, ways[-1][0])]
        if several := next((one for one in meant if len(one[1]) > 1), None):
            self._which(*several, findings)
            return None
        return tuple(look for _, (meaning,) in meant for look in meaning.looks)

    def _ways(self, words: Sequence[str]) -> list[list[tuple[int, ...]]]:
        """For each number of words, the ways to part the first so many into the fewest names: where each name ends."""
        ways: list[list[tuple[int, ...]]] = [[()], *([] for _ in words)]
        for end in range(1, len(words) + 1):
            for start in range(max(0, end - self.longest), end):
                if ways[start] and one_case(" ".join(words[start:end])) in self.meanings:
                    ways[end].extend((*way, end) for way in ways[start])
            fewest = min((len(way) for way in ways[end]), default=0)
            ways[end] = [way for way in ways[end] if len(way) == fewest][:8]
        return ways

    @staticmethod
    def _names_of(words: Sequence[WrittenText], way: tuple[int, ...]) -> list[WrittenText]:
        bounds = zip((0, *way), way, strict=False)
        return [words[start].part(" ".join(words[start:end]), 0) for start, end in bounds]

    def _which(self, name: WrittenText, meanings: Sequence[Meaning], findings: Findings) -> None:
        choices = [" ".join(meaning.looks) for meaning in meanings]
        said = f"'{name}' fits several lines; write {in_words(choices)}, or '{name} (line not known)' if nobody knows which"
        findings.report(name.place, "ambiguous-look", said)

    def _unknown_look(self, name: WrittenText, piece: WrittenText, findings: Findings) -> None:
        """`piece`: the words among which the name stands."""
        if self.quiet:
            return
        if _HET.match(name):
            said = (
                f"'{name}' cannot be seen, and a het is computed from the parents, not typed; leave it out"
                " (another breeder's figure goes into `stated`, or into `claims` if its parents are not on record)"
            )
            findings.report(name.place, "het-is-no-look", said)
            return
        candidates = ["normal", *self.spelled.values()]
        words = name.split()
        tries = (piece, name, *(" ".join(words[:count]) for count in range(min(len(words), self.longest), 0, -1)))
        near = ((text, findings.nearest(text, candidates)) for text in dict.fromkeys(tries))
        slip = next(((text, found) for text, found in near if found), None)
        said = piece if slip is not None and slip[0] == piece else name
        remedy = f"the nearest is '{slip[1]}'" if slip is not None else self._or_add(name)
        findings.report(said.place, "unknown-look", f"'{said}' is no look of the species {self.species.name}; {remedy}")

    def _or_add(self, name: str) -> str:
        """What to do about a name that is no slip of a known one."""
        single = one_case(name).removeprefix("super ")
        if single != one_case(name) and single in self.traits:
            return f"write '{self.spelled[single]}': two copies of it have no name of their own"
        begins = one_case(name) + " "
        longer = [full for folded, full in self.spelled.items() if folded.startswith(begins)]
        key = slug_of(name)
        line = f"{{locus: {key}, inheritance: recessive, alleles: [{name}]}}"
        plain = key and len(name) <= MAX_NAME and _PLAIN_NAME.fullmatch(name)
        lines = f": `species: {self.species.key}`, and under `loci:` a line such as `- {line}`" if plain else ""
        add = f"if it is a trait of its own, describe it in a file in traits/{lines}"
        return f"write {in_words(longer[:3])} if that is meant; {add}" if longer else add

    # ---- names that stand by themselves

    def one_look(self, name: WrittenText, findings: Findings) -> tuple[str, ...]:
        """The looks that a name in `without` or `cannot_tell` covers: those of every line that it fits."""
        meanings = self.meanings.get(one_case(name))
        if meanings is not None:
            return tuple(dict.fromkeys(look for meaning in meanings for look in meaning.looks))
        words = [name.group(found) for found in _WORD.finditer(name)]
        if (ways := self._ways(words)[-1]) and not self.quiet:
            apart = ", ".join(self._names_of(words, ways[0]))
            findings.report(name.place, "unknown-look", f"'{name}' names several looks; write them apart: {apart}")
        else:
            self._unknown_look(name, name, findings)
        return ()

    def trait(self, name: WrittenText, findings: Findings) -> tuple[Locus, str] | None:
        """The locus and allele behind the name of a trait in a claim or a test."""
        found = tuple(self.traits.get(one_case(name), {}))
        if len(found) == 1:
            key, allele = found[0]
            return self.species.loci[key], allele
        if found:
            said = f"'{name}' fits several lines; write {in_words([allele for _, allele in found])}"
            findings.report(name.place, "ambiguous-trait", said)
        elif not self.quiet:
            said = f"'{name}' is no trait of the species {self.species.name}; {self._near(name)}"
            findings.report(name.place, "unknown-trait", said)
        return None

    def of_one_locus(self, found: re.Match[str]) -> bool:
        """Whether the two names that EITHER found are alleles of one locus: only then are 50% of each one of the two."""
        one, other = ({key for key, _ in self.traits.get(one_case(found[name]), {})} for name in ("one", "other"))
        return not one.isdisjoint(other)

    def locus_of(self, name: WrittenText, findings: Findings) -> str | None:
        """The locus that a trait's, look's or locus's own name points at."""
        if name in self.species.loci:
            return str(name)
        loci = tuple(dict.fromkeys(key for meaning in self.meanings.get(one_case(name), {}) for key in meaning.loci))
        if len(loci) == 1:
            return loci[0]
        found = self.trait(name, findings)
        return None if found is None else found[0].key

    def _near(self, name: WrittenText) -> str:
        meanings = tuple(self.meanings.get(one_case(name), ()))
        if meanings and len(meanings[0].looks) > 1:
            return f"it is a combo: write {in_words(meanings[0].looks, 'and')} each by itself"
        if meanings:
            alleles = in_words(self.species.loci[meanings[0].loci[0]].alleles)
            return f"it is a look of two copies: name the trait itself, {alleles}"
        bare = _HET.sub("", name).strip()
        if bare != name and one_case(bare) in self.traits:
            return f"write '{self.spelled[one_case(bare)]}' alone"
        words = [name.part(word, 0) for word in bare.split()]
        if ways := self._ways(words)[-1]:
            return f"these are several: write {in_words(self._names_of(words, ways[0]), 'and')} each by itself"
        found = nearest(bare or name, (self.spelled[trait] for trait in self.traits))
        return f"the nearest is '{found}'" if found else self._or_add(bare or name)
