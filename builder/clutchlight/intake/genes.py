"""One cell of genes, in the trade's words → looks seen and traits carried, with the chances said; and what was not understood.

`66% het Clown`, `66% pos het A & 50% B`, `DH A/B`, `triple het A B C`, `ph A`, `poss het A`, `A (66%)`, `het A het B`, and our own
`het A or B (one of the two)`. Words before the
first het are looks. After a het a name that is recessive goes on with the list; one that shows with one copy may be meant as seen, unless
a comma parts it. `possible het` without a figure stays without one.

A cell is read whole or not at all. A word that nobody knows, a number that says nothing, a het that nothing follows, a `?`, a word that
denies, doubts or speaks of kin leave the whole cell: `Clown het` is no Clown. What is named there is neither seen nor not seen.

In a column of what is carried no name is a look: a bare one is a het, with the chance of its heading, whatever stands beside
another. Behind a figure that stands before its name, and a mark, it is not read, since the figure may be said of it too; nor is one before
a `het` that no mark parts from it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field

from clutchlight.editing.writing import quoted
from clutchlight.intake.asking import Dialogue
from clutchlight.model import Inheritance, Species
from clutchlight.model.traits import grouped
from clutchlight.reading.fields import read_chance
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.names import EITHER, Names
from clutchlight.reading.text import WrittenText, one_case, slug_of
from clutchlight.wording.words import join_and

OWN_LINE = "my own line: describe it"
NO_TRAIT = "no trait"
NOT_TAKEN = "not taken"
HOW_INHERITED: Mapping[str, str] = {
    "recessive": "only two copies show",
    "incomplete dominant": "one copy shows, two copies show more",
    "dominant": "one copy shows",
    "not known": "kept as a word, without figures",
}

_TOKEN = re.compile(r"\^?[0-9]+(?:[.,][0-9]+)?\s*%|[,;&+/|\\]|[^\s,;&+/|\\%]+|%")
_EITHER = re.compile(rf"\bhet\s+{EITHER}", re.IGNORECASE)
_JOINED = re.compile(r"\b(hets?|ph|dh|th)\s*[-:]\s*", re.IGNORECASE)
_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_CHANCE = re.compile(r"[0-9]+(?:[.,][0-9]+)?\s*%")
_NUMBER = re.compile(r"\^?[0-9]+(?:[.,][0-9]+)?")
_USUAL = ("25", "33", "50", "66", "67", "75", "100")
"""Numbers that are chances also without a sign, where a het follows or brackets stand about them: common practice, no source."""
_SEPARATORS = frozenset(",;&+/|\\") | {"and", "und", "et", "y", "con", "mit"}
_HET = frozenset(["het", "hets", "het.", "hetero", "heterozygous", "heterozygot", "hét"])
_MANY: Mapping[str, int] = {"dh": 2, "double": 2, "dbl": 2, "th": 3, "triple": 3, "qh": 4, "quad": 4}
_POSSIBLE = frozenset(["pos", "poss", "pos.", "poss.", "possible", "possibly", "poss.het", "mögl", "mögl.", "möglich"])
_SHORT = frozenset(["ph", "dh", "th", "qh"])
_OPENS = _HET | _POSSIBLE | _SHORT
"""Words that a het begins with."""
_PASSED_OVER = frozenset(["for", "für", "pour", "visual", "vis", "vis.", "gene", "genes", "morph"])
_DOUBT = re.compile(
    r"(?<!\w)(?:not|no|non|nor|neither|never|without|negative|failed|disprove[dn]|unprove[dn]|\w+n['’]t|or|either|maybe|perhaps|prob(?:ably)?"
    r"|(?:un)?likely|might|may|could|suspect(?:ed)?|unsure|uncertain|from|out|of|x|×|sibs?|siblings?|brother|sister|mother|mum|mom|father|dad|parents?"
    r"|sire|dam|son|daughter|offspring|nicht|keine?|oder|ohne|vielleicht|evtl|aus|pas|sans|ou|peut-être|niet|geen|misschien|sin)(?!\w)",
    re.IGNORECASE,
)
"""Words that deny, leave open or speak of another animal."""
_NORMAL = frozenset(
    (
        *("normal", "norm", "classic", "wt", "wildtype", "wildtyp", "nominat", "normale"),
        *("wildfarben", "wildfarbe", "wildfarbig"),
    )
)


class Het(Struct, frozen=True):
    """A trait that is said to be carried; `chance` as our records have it, "" where only `possible` was said."""

    trait: str
    chance: str


class Genes(Struct, frozen=True):
    """What a cell says. `normal`: the word stood there. `unread`: why it was left, or a word of it; `untold`: the looks that are named in
    one that was left."""

    looks: tuple[str, ...] = ()
    hets: tuple[Het, ...] = ()
    normal: bool = False
    unread: tuple[str, ...] = ()
    untold: tuple[str, ...] = ()


class Means(Struct, frozen=True):
    """What a word stands for: its looks; and, of one that can be carried unseen, the traits, each recessive; else other words of a cell."""

    looks: tuple[str, ...] = ()
    carried: tuple[str, ...] = ()
    words: str = ""


class Vocabulary:
    """The names of a species, and the words of this file once the breeder has said what they mean.

    `aliases`: those that become names, which pages may print; a name with a slip of the finger does not.
    """

    def __init__(self, species: Species, questions: Dialogue) -> None:
        self.species, self.questions, self.names = species, questions, Names(species)
        self.own: dict[str, Means | None] = {}
        self.aliases: dict[str, tuple[str, ...]] = {}
        self.described: dict[str, str] = {}
        self.doubtful = [name for name in self.names.meanings if _DOUBT.search(name)]
        recessive = (one for one in species.loci.values() if one.inheritance is Inheritance.RECESSIVE)
        self.recessive = {allele for locus in recessive for allele in locus.alleles}

    def known(self, phrase: str) -> Means | None:
        """A name that is on record, or that was explained before; None when it is neither. A word that is no trait means no look."""
        if phrase in self.own:
            return self.own[phrase]
        several = tuple(meaning.looks for meaning in self.names.meanings.get(phrase, ()))
        if len(several) > 1:
            return self._which(phrase, several)
        return self._means(several[0]) if several else None

    def _means(self, looks: tuple[str, ...]) -> Means:
        return Means(looks, looks if self.recessive.issuperset(looks) else ())

    def explained(self, word: str, where: str) -> Means | None:
        """Asks once what a word means; None: nobody knows, so that nothing of it is taken."""
        phrase = one_case(word)
        if phrase not in self.own:
            near = [(name, "a name on record") for name in self._near(word)]
            answer = self.questions.put(
                f"word {word}",
                f"'{word}' is no name that we know ({where}). What is it?",
                (
                    *near,
                    (OWN_LINE, "a trait of your own, to be kept in traits/"),
                    (NO_TRAIT, "it says nothing of the genes, so the word is left out"),
                    (NOT_TAKEN, "each cell that names it is left out whole"),
                ),
                "what a cell may say in its place, such as Pastel Spider, normal, het, het Clown, 50% het Pied; or at once"
                " `my own line: recessive`",
                wrong=lambda answer: "" if _inheritance(answer) else self._strange(answer),
            )
            self.own[phrase] = self._answered(word, answer)
        return self.own[phrase]

    def _answered(self, word: str, answer: str) -> Means | None:
        if answer == NO_TRAIT:
            return Means()
        if answer == NOT_TAKEN:
            return None
        how = _inheritance(answer)
        if answer == OWN_LINE:
            question = f"How is '{word}' inherited?"
            choices = tuple(HOW_INHERITED.items())
            how = self.questions.put(f"inheritance of {word}", question, choices)
        if how:
            self.described[word] = how
            return Means((word,), (word,) if how == "recessive" else ())
        looks = self._looks(answer)
        if not looks:
            return Means(words=answer)
        called = [name for name, several in self.names.meanings.items() if any(one.looks == looks for one in several)]
        if nearest(one_case(word), called) is None:
            self.aliases[word] = looks
        return self._means(looks)

    def _strange(self, answer: str) -> str:
        """Why an answer is not read in a cell without a question; "" where it is, by itself or before what follows it, as `het` is."""
        quiet = Vocabulary(self.species, Dialogue({}, lambda question: None))
        quiet.own = dict(self.own)
        reader = _CellReader(quiet, "")
        try:
            reader.run(answer)
        except _UnreadError as why:
            return str(why)
        said = reader.looks or reader.hets or reader.normal or reader.group or reader.chance or reader.possible
        return self.of_one_gene(tuple(reader.looks)) if said else f"'{answer}' says nothing"

    def named_in(self, cell: str, *, carried: bool) -> tuple[str, ...]:
        """The looks that are named in a cell which is left; `carried`: a recessive one is not said to be seen there."""
        words = [_long(token) for token in _TOKEN.findall(_JOINED.sub(r"\1 ", _BRACKETS.sub(r" \1 ", cell)))]
        spans = (words[at : at + count] for at in range(len(words)) for count in range(1, self.names.longest + 1))
        phrases = [one_case(" ".join(span)) for span in spans]
        found = [meaning.looks for phrase in phrases for meaning in self.names.meanings.get(phrase, ())]
        found += [means.looks for phrase in phrases if (means := self.own.get(phrase)) is not None]
        hidden = self.recessive if carried else frozenset[str]()
        return tuple(dict.fromkeys(look for looks in found for look in looks if look not in hidden))

    def locus_of(self, look: str) -> str:
        return next(iter(self.species.locus_of_look.get(look, ())), look)

    def of_one_gene(self, looks: Sequence[str]) -> str:
        """What is wrong with looks of which two are of one gene; "" where none are."""
        by_locus = grouped((self.locus_of(look), look) for look in looks)
        for key, named in by_locus.items():
            if len(named) > 1:
                locus, several = self.species.loci[key], sorted(named)
                one = locus.together.get(frozenset(several)) or next((n for n in several if n not in locus.alleles), "")
                each = [name for name in several if name != one]
                joined = locus.together.get(frozenset(each))
                both = f", the look of one copy of {' with one of '.join(each)}" if joined else ""
                said = f"{join_and(several)} are looks of one gene, and a snake shows one look of a gene; name one"
                return f"{said}{f', such as {one}{both}' if one else ''}"
        return ""

    def _looks(self, answer: str) -> tuple[str, ...]:
        """The looks that an answer names; none where it names anything else."""
        read = self.names.shown([WrittenText.put(answer, "", 0, 0)], Findings())
        return read.looks if read.sound else ()

    def why_not_carried(self, written: str, means: Means) -> str:
        """Why what is said to be carried is not taken."""
        if any(self.described.get(look) == "not known" for look in means.looks):
            return f"'{written}' is said to be carried, and how it is inherited is not known"
        return f"'{written}' is said to be carried unseen, and one copy of it shows"

    def _which(self, phrase: str, several: tuple[tuple[str, ...], ...]) -> Means | None:
        """A name that fits several lines is asked for once."""
        name = self.names.spelled[phrase]
        answer = self.questions.put(
            f"line of {name}",
            f"'{name}' fits several lines that look alike. Which is yours?",
            (
                *((" ".join(looks), "this line, wherever the word stands") for looks in several),
                (NOT_TAKEN, "nobody knows; each cell that names it is left out whole"),
            ),
        )
        looks = next((looks for looks in several if " ".join(looks) == answer), None)
        self.own[phrase] = None if looks is None else self._means(looks)
        return self.own[phrase]

    def _near(self, word: str) -> list[str]:
        """Names that the word may be short for: by its first letters, its last, or the first letter of each word."""
        plain = one_case(word).strip(".")
        singles = {one_case(name): name for name in self.names.spelled.values()}
        found = [slip for part in (word, *word.split()) if (slip := nearest(part, singles.values()))]
        for folded, name in sorted(singles.items(), key=lambda item: (len(item[0]), item[0])):
            initials = "".join(part[0] for part in folded.split())
            if initials == plain or (len(plain) >= 3 and (folded.startswith(plain) or folded.endswith(plain))):
                found.append(name)
        return list(dict.fromkeys(found))[:4]


def _inheritance(answer: str) -> str:
    """How a line of one's own is inherited, where an answer says so."""
    short = answer.casefold().removeprefix("my own line:").strip()
    return short if short in HOW_INHERITED else ""


def genes_in(cell: str, words: Vocabulary, where: str, *, carried: str = "") -> Genes:
    """What a cell of genes says. `where`: how to tell the breeder of the cell; `carried`: a column of OF_HETS; "" of any other."""
    try:
        return _CellReader(words, where, carried=carried).read(cell)
    except _UnreadError as why:
        return Genes(unread=(str(why),), untold=words.named_in(cell, carried=bool(carried)))


class _UnreadError(Exception):
    """Why a cell is left."""


class _Carried(Struct):
    """A list of traits behind one `het`: the chance of each, how many it announces, and what was named.

    `told`: of how many a chance is said; `comma`: one stood behind a name; `of_column`: the column opens it, and no word of the cell;
    `joined`: by an `and` to one without a figure, so that a figure behind it may be said of both.
    """

    chance: str = ""
    possible: bool = False
    need: int | None = None
    names: list[str] = field(default_factory=list)
    told: int = 0
    comma: bool = False
    of_column: bool = False
    joined: bool = False


class _CellReader:
    """Reads a cell from left to right. `group`: the list behind a het, while it may go on; `chance`, `possible`: said of a het to come."""

    def __init__(self, words: Vocabulary, where: str, *, carried: str = "") -> None:
        self.words, self.where, self.carried = words, where, carried
        self.looks: dict[str, None] = {}
        self.hets: dict[str, str] = {}
        self.normal = False
        self.left_out: dict[str, None] = {}
        self.group = _Carried(*self._of_heading(), of_column=True) if carried else None
        self.chance, self.possible, self.unsure = "", False, ""

    def read(self, cell: str) -> Genes:
        self.run(cell)
        self._close()
        if self.chance or self.possible:
            raise _UnreadError(f"'{self.chance or 'possible'}' of what is not said")
        if self.normal and (self.looks or self.carried):
            raise _UnreadError("'normal' stands beside what else is said")
        if both := self.words.of_one_gene(tuple(self.looks)):
            raise _UnreadError(both)
        if twice := [trait for trait in self.hets if trait in self.looks]:
            raise _UnreadError(f"{join_and(twice)} stands as seen and as carried")
        unread = tuple(f"'{word}' was said to be no trait, so it is left out" for word in self.left_out if word != cell)
        return Genes(tuple(self.looks), tuple(Het(*het) for het in self.hets.items()), self.normal, unread)

    def run(self, cell: str) -> None:
        cell = _EITHER.sub(self._either, cell)
        if doubt := "?" if "?" in cell else self._doubt(cell):
            raise _UnreadError(f"'{doubt}' may deny it, leave it open or speak of another animal")
        text = _JOINED.sub(r"\1 ", _BRACKETS.sub(_without_brackets, cell))
        tokens = [token for token in _TOKEN.findall(text) if token.strip(".^")]
        at = 0
        while at < len(tokens):
            at += self._take(tokens, at)

    def _either(self, found: re.Match[str]) -> str:
        one_locus = self.words.names.of_one_locus(found)
        return f"50% het {found['one']}, 50% het {found['other']}" if one_locus else found[0]

    def _doubt(self, cell: str) -> str:
        """The first word that denies or doubts, outside of names on record; "" without one."""
        for name in self.words.doubtful:
            cell = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", " ", one_case(cell))
        found = _DOUBT.search(cell)
        return found[0] if found else ""

    def _take(self, tokens: list[str], at: int) -> int:
        """Reads what begins at a token; how many were used."""
        plain = tokens[at].casefold()
        following = tokens[at + 1].casefold() if at + 1 < len(tokens) else ""
        if plain.endswith("%") and plain != "%":
            self._percent(plain, following)
        elif _NUMBER.fullmatch(plain):
            if plain[0] != "^" and not (plain in _USUAL and following in _OPENS):
                raise _UnreadError(f"'{plain}' is a number, and nobody can tell of what")
            self._percent(f"{plain}%", following)
        elif plain in _SEPARATORS:
            self._separated(plain)
        elif plain in _POSSIBLE or plain == "ph":
            self.possible = True
            if plain == "ph":
                self._open(None)
        elif plain in _HET:
            self._open(None)
        elif plain in _MANY and (plain in _SHORT or following in _HET):
            self._open(_MANY[plain])
            return 1 if plain in _SHORT else 2
        elif plain.strip(".") in _NORMAL and self.words.known(plain) is None:
            self.normal = True
        elif plain not in _PASSED_OVER:
            return self._name(tokens, at)
        return 1

    def _separated(self, mark: str) -> None:
        """What a mark or an `and` between names ends: a part of the cell, and in a column of what is carried the list behind a het."""
        group = self.group
        if mark in ",;+&" and (self.possible or (group is not None and not group.names and not group.of_column)):
            raise _UnreadError("a het is said, but not of what")
        if group is not None and group.names and mark in ",;":
            group.comma = True
        whole = group is None or (group.names and len(group.names) >= (group.need or 0))
        if self.carried and mark in ",;+&" and whole:
            said = "" if group is None or group.of_column else group.chance or ("possible" if group.possible else "")
            self.unsure = said if said and said != "100%" else self.unsure
            bare = group is not None and not said and group.told < len(group.names)
            self._close()
            self.group = _Carried(*self._of_heading(), of_column=True, joined=bare and mark in "&+")

    def _of_heading(self) -> tuple[str, bool]:
        """What the heading of a column says of each: its chance, and whether it is possible."""
        said = self.carried.partition(" ")[0]
        return said if said.endswith("%") else "", said == "possible"

    def _percent(self, token: str, following: str) -> None:
        chance = "".join(token.lstrip("^").replace(",", ".").split())
        if isinstance(read_chance(chance), str):
            raise _UnreadError(f"'{token}' is no chance")
        group = self.group
        ends = token.startswith("^") or not following or following in _SEPARATORS
        if group is not None and group.names and ends and not group.chance:
            if group.joined:
                raise _UnreadError(f"'{chance}' may be said of both beside an 'and'")
            self.hets.update(dict.fromkeys(group.names[group.told :], chance))
            group.told = len(group.names)
        elif ends and group is None and self.looks:
            raise _UnreadError(f"'{chance}' stands behind what may be seen or carried")
        else:
            self.chance = chance

    def _open(self, need: int | None) -> None:
        group = self.group
        if group is not None and not group.names:
            group.need, group.possible = need or group.need, group.possible or self.possible
            group.chance, group.of_column = self.chance or group.chance, False
        else:
            if group is not None and group.of_column and not (self.chance or self.possible):
                raise _UnreadError(f"{join_and(group.names)} before a het may be seen or carried")
            self._close()
            self.group = _Carried(self.chance, self.possible, need)
        self.chance, self.possible = "", False

    def _close(self) -> None:
        group, self.group = self.group, None
        if group is None or (group.of_column and not group.names):
            return
        if not group.names:
            raise _UnreadError("a het is said, but not of what")
        if group.need is not None and len(group.names) != group.need:
            raise _UnreadError(f"a het of {group.need} traits is said, but {len(group.names)} named")

    def _name(self, tokens: list[str], at: int) -> int:
        """A name of as many words as there is one for; what no name begins with is asked for as a whole."""
        words: list[str] = []
        for token in tokens[at:]:
            if _is_mark(token) and not (words and self._begins([*words, token])):
                break
            words.append(_long(token))
        for count in range(min(len(words), max(self.words.names.longest, 4)), 0, -1):
            phrase, written = one_case(" ".join(words[:count])), " ".join(tokens[at : at + count])
            means = self.words.known(phrase)
            if means is None and (phrase in self.words.names.meanings or phrase in self.words.own):
                raise _UnreadError(f"nobody knows what '{written}' is")
            if means is not None:
                self._named(written, means)
                return count
        next_name = (n for n in range(1, len(words)) if any(self._begins(words[n : n + k]) for k in (1, 2, 3, 4)))
        count = next(next_name, max(len(words), 1))
        word = " ".join(tokens[at : at + count]).strip(".:")
        means = self.words.explained(word, self.where)
        if means is None:
            raise _UnreadError(f"'{word}' is not known")
        self._named(word, means)
        return count

    def _begins(self, words: list[str]) -> bool:
        phrase = one_case(" ".join(words))
        return phrase in self.words.names.meanings or phrase in self.words.own

    def _named(self, written: str, means: Means) -> None:
        if means.words:
            self.run(means.words)
            if not self.possible and (self.group is None or self.group.names):
                self._separated(",")
            return
        if not means.looks:
            self.left_out[written] = None
            return
        if self.chance or self.possible:
            self._open(None)
        group = self.group
        if group is not None and group.of_column and self.unsure:
            raise _UnreadError(f"'{written}' stands behind '{self.unsure}', which may be said of it too")
        if group is not None and not means.carried and group.names and (group.comma or len(group.names) == group.need):
            self._close()
            group = None if not self.carried else group
        if group is None:
            self.looks.update(dict.fromkeys(means.looks))
        elif not means.carried:
            raise _UnreadError(self.words.why_not_carried(written, means))
        elif group.comma and (group.need is None or len(group.names) >= group.need):
            raise _UnreadError(f"'{written}' behind a het may be seen or carried")
        else:
            group.names += means.carried
            self.hets.update(dict.fromkeys(means.carried, group.chance or ("" if group.possible else "100%")))
            group.told = len(group.names) if group.chance else group.told


def _without_brackets(found: re.Match[str]) -> str:
    inside = found[1].strip()
    return f" ^{inside} " if _CHANCE.fullmatch(inside) or inside in _USUAL else f" {inside} "


def _is_mark(token: str) -> bool:
    plain = token.casefold()
    known = plain in _SEPARATORS | _OPENS or plain.strip(".") in _NORMAL
    return known or plain.endswith("%") or bool(_NUMBER.fullmatch(plain))


def _long(word: str) -> str:
    """`Sup` and `Sup.` are how the trade shortens `Super`."""
    return "super" if word.casefold() in ("sup", "sup.") else word


def trait_file(words: Vocabulary) -> Iterator[str]:
    """The lines of a file in traits/ that keep what was explained; none when nothing was."""
    called: dict[str, list[str]] = {}
    combos: list[str] = []
    for word, looks in words.aliases.items():
        if len(looks) == 1:
            called.setdefault(looks[0], []).append(quoted(word))
        else:
            combos.append(f"  {quoted(word)}: [{', '.join(looks)}]")
    loci = [
        f"  - {{locus: {words.species.locus_of_look[look][0]}, also_called: {{{quoted(look)}: [{', '.join(names)}]}}}}"
        for look, names in called.items()
    ]
    taken = {*words.species.loci}
    for word, how in words.described.items():
        name = slug_of(word) or "own-line"
        key = next(key for key in (name, *(f"{name}-{n}" for n in range(2, len(taken) + 3))) if key not in taken)
        taken.add(key)
        loci.append(f"  - {{locus: {key}, inheritance: {how}, alleles: [{quoted(word)}]}}")
    if loci or combos:
        yield f"species: {words.species.key}"
    if loci:
        yield from ("loci:", *loci)
    if combos:
        yield from ("combos:", *combos)
