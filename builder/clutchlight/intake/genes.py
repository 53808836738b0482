"""One cell of genes, in the trade's words → looks seen and traits carried, with the chances said; and what was not understood.

`66% het Clown`, `66% pos het A & 50% B`, `DH A/B`, `triple het A B C`, `ph A`, `poss het A`, `A (66%)`, `het A het B`. Words before the
first het are looks. After a het a name that is recessive goes on with the list; one that shows with one copy is not read, since it may be
meant as seen. A `?` leaves out what it stands with. `possible het` without a figure stays without one. Behind a word that nobody knows, or
a number that says nothing, the rest is left: `Pastel h/Clown` may be a het Clown. A word that nobody knows, and a het
that nothing follows, leave their part of the cell (between `,;+&`) too: `Clown het` is no Clown. A word that denies, doubts or speaks of
kin leaves the whole cell, whatever it was said to mean. What is named there is neither seen nor not seen.

In a column of what is carried no name is a look: a bare one is a het, with the chance of its heading, whatever stands beside
another. Behind a figure that stands before its name, and a mark, it is not read, since the figure may be said of it too; nor is one before
a `het` that no mark parts from it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field

from clutchlight.editing.writing import quoted
from clutchlight.intake.asking import Dialogue
from clutchlight.model import Inheritance, Species
from clutchlight.model.traits import grouped
from clutchlight.reading.fields import read_chance
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.names import Names
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
_HET_LAST = re.compile(
    r"(?P<sure>.*)(?<!\w)(?:(?:[0-9]+\s*%?\s*)?(?:poss?\.?\s*)?(?:hets?|h|ph|[dtq]h)\b)", re.IGNORECASE
)
_JOINED = re.compile(r"\b(hets?|ph|dh|th)\s*[-:]\s*", re.IGNORECASE)
_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_CHANCE = re.compile(r"[0-9]+(?:[.,][0-9]+)?\s*%")
_NUMBER = re.compile(r"\^?[0-9]+(?:[.,][0-9]+)?")
_USUAL = ("25", "33", "50", "66", "67", "75", "100")
"""Numbers that are chances also without a sign, where a het follows or brackets stand about them: common practice, no source."""
_PARTING = ",;+&"
"""What parts a cell into parts."""
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
    """What a cell says. `normal`: the word stood there. `unread`: why pieces were not taken; `untold`: the looks that are named in them."""

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
                    (NOT_TAKEN, "what it stands for in these rows is left out"),
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
        looks = self._looks(answer)
        if looks:
            return self.of_one_gene(looks)
        quiet = Vocabulary(self.species, Dialogue({}, lambda question: None))
        quiet.own = dict(self.own)
        return _CellReader(quiet, "").strange(answer)

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
                (NOT_TAKEN, "nobody knows; it is left out"),
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
    return _CellReader(words, where, carried=carried).read(cell)


class _Carried(Struct):
    """A list of traits behind one `het`: the chance in front, how many it announces, and what was named, "" where that was not taken.

    `told`: of how many the chance is said; `comma`: one stood behind a name, so that another may be meant as seen. `of_column`: the column
    opens it, and no word of the cell; `unsure`: the figure in the part before, which may be said of this one too.
    """

    chance: str = ""
    possible: bool = False
    need: int | None = None
    names: list[str] = field(default_factory=list)
    told: int = 0
    comma: bool = False
    of_column: bool = False
    unsure: str = ""

    @property
    def figure(self) -> str:
        """What a word of the cell says of each, which may be said of the next part too."""
        return self.chance or ("possible" if self.possible else self.unsure)


class _CellReader:
    """Reads a cell from left to right. `group`: the list behind a het, while it may go on; `chance`, `possible`: said of a het to come.

    `last_looks`: of the last name that was seen. `before`: looks, hets and `normal` before this part of the cell. `lost`: the rest is left;
    `plain_rest`: and speaks of hets alone. `carried`: so does the column.
    """

    def __init__(self, words: Vocabulary, where: str, *, carried: str = "") -> None:
        self.words, self.where, self.carried = words, where, carried
        self.looks: dict[str, None] = {}
        self.last_looks: tuple[str, ...] = ()
        self.hets: dict[str, str] = {}
        self.unread: list[str] = []
        self.untold: list[str] = []
        self.normal = self.lost = self.plain_rest = False
        self.group: _Carried | None = self._of_column() if carried else None
        self.chance, self.possible = "", False
        self.before: tuple[dict[str, None], dict[str, str], bool] = {}, {}, False

    def read(self, cell: str) -> Genes:
        self._run(cell)
        self._close()
        if self.chance or self.possible:
            self._nothing_behind(f"'{self.chance or 'possible'}' of what is not said")
        if self.normal and self.looks:
            self.unread.append(f"'normal' stands beside {', '.join(self.looks)}")
            self.looks, self.normal = {}, False
        if several := self.words.of_one_gene(tuple(self.looks)):
            self.unread.append(several)
            loci = Counter(self.words.locus_of(look) for look in self.looks)
            self.untold += [look for look in self.looks if loci[self.words.locus_of(look)] > 1]
            self.looks = {look: None for look in self.looks if loci[self.words.locus_of(look)] == 1}
        self.unread += [f"{trait} stands as seen and as carried" for trait in self.hets if trait in self.looks]
        hets = tuple(Het(*het) for het in self.hets.items() if het[0] not in self.looks)
        if self.carried and self.normal:
            self.unread.append("'normal' stands in a column of what is carried")
        named = dict.fromkeys(self.untold if self.looks or self.normal or self.carried else ())
        hidden = self.words.recessive if self.carried else frozenset[str]()
        untold = tuple(look for look in named if look not in self.looks and look not in hidden)
        normal = self.normal and not self.carried
        return Genes(tuple(self.looks), hets, normal, tuple(dict.fromkeys(self.unread)), untold)

    def strange(self, cell: str) -> str:
        """Why something of a cell, or all of it, is not read."""
        self._run(cell)
        said = self.looks or self.hets or self.normal or self.group or self.chance or self.possible
        wrong = "; ".join(self.unread) or self.words.of_one_gene(tuple(self.looks))
        return wrong or ("" if said else f"'{cell}' says nothing")

    def _run(self, cell: str) -> None:
        tokens = [token for token in _TOKEN.findall(self._without_questions(cell)) if token.strip(".^")]
        at = 0
        if doubt := self._doubt(cell):
            self._lost(f"'{doubt}' may deny it, leave it open or speak of another animal")
        while at < len(tokens) and not self.lost:
            at += self._take(tokens, at)
        if self.lost and (rest := " ".join(tokens[at:]).replace("^", "").strip(" ,;&+/|\\")):
            self.unread[-1] += f", so {'all of it' if doubt else 'what follows it'} is left: '{rest}'"
            if not self.plain_rest:
                self._name_untold(tokens[at:])

    def _doubt(self, cell: str) -> str:
        """The first word that denies or doubts, outside of names on record; "" without one."""
        for name in self.words.doubtful:
            cell = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", " ", one_case(cell))
        found = _DOUBT.search(cell)
        return found[0] if found else ""

    def _name_untold(self, tokens: Sequence[str]) -> None:
        """The looks that are named in what is left."""
        meanings = self.words.names.meanings
        for at in range(len(tokens)):
            for count in range(1, self.words.names.longest + 1):
                for meaning in meanings.get(one_case(" ".join(map(_long, tokens[at : at + count]))), ()):
                    self.untold += meaning.looks

    def _without_questions(self, cell: str) -> str:
        """The cell without what a question mark stands with: its brackets, else all from the last het before it on, else everything."""

        def bracket(found: re.Match[str]) -> str:
            inside = found[1].strip()
            if "?" not in inside:
                return f" ^{inside} " if _CHANCE.fullmatch(inside) or inside in _USUAL else f" {inside} "
            self.unread.append(f"'({found[1]})' is a question")
            return " "

        text = _JOINED.sub(r"\1 ", _BRACKETS.sub(bracket, cell))
        if "?" not in text:
            return text
        sure = _HET_LAST.match(text.partition("?")[0])
        certain = sure["sure"] if sure is not None else ""
        self.unread.append(f"'{text[len(certain) :].strip()}' is a question")
        return certain

    def _take(self, tokens: list[str], at: int) -> int:
        """Reads what begins at a token; how many were used."""
        plain = tokens[at].casefold()
        following = tokens[at + 1].casefold() if at + 1 < len(tokens) else ""
        if plain.endswith("%") and plain != "%":
            self._percent(plain, following)
        elif plain in _USUAL[:-1] and self._bare_chance(tokens, at):
            self._before_a_name(tokens[at], tokens[at + 1])
        elif _NUMBER.fullmatch(plain):
            if plain[0] != "^" and not (plain in _USUAL and following in _OPENS):
                self._number(plain)
            else:
                self._percent(f"{plain}%", following)
        elif plain in _SEPARATORS:
            if plain in _PARTING and not (plain in "&+" and self._one_figure_behind(tokens[at + 1 :])):
                self._end_part(plain)
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

    def _one_figure_behind(self, tokens: Sequence[str]) -> bool:
        """Whether `& B 50%` goes on as `and B 50%` does: in a column of what is carried, behind names without a figure of their own."""
        group = self.group
        if not self.carried or group is None or not group.names:
            return False
        said = group.told or group.chance or group.possible or group.need
        *names, last = re.split(r"\s*[,;]", " ".join(tokens))[0].split() or [""]
        others = any(name.endswith("%") or name.casefold() in _OPENS or _NUMBER.fullmatch(name) for name in names)
        return not said and not others and (_CHANCE.fullmatch(last.lstrip("^")) is not None or last[:1] == "^")

    def _bare_chance(self, tokens: Sequence[str], at: int) -> bool:
        """Whether a number stands before a name, and no number of the cell may belong to the name before it: `Pastel 66 Clown`."""
        last = tokens[-1].casefold()
        follows = at + 1 < len(tokens) and not _is_mark(tokens[at + 1])
        group = self.group
        behind = group is not None and group.possible and not group.chance and (group.names or not group.of_column)
        return follows and not behind and not _NUMBER.fullmatch(last) and not last.endswith("%")

    def _before_a_name(self, number: str, name: str) -> None:
        """Reads a number and the name behind it as a possible het, once the breeder says so. Common practice, no source."""
        if self.words.questions.agreed(
            "number before a name",
            f"'{number} {name}' ({self.where}): does a number alone before a name say how likely it is a het?",
            f"{number}% possible het {name}; so wherever a number stands before a name",
            "such a number and what follows it are left",
            of_sheet=True,
        ):
            self._percent(f"{number}%", name.casefold())
        else:
            self.unread.append(f"'{number}' is a number, and nobody can tell of what")
            self.lost = self.plain_rest = True
            self.chance, self.possible = "", False

    def _number(self, written: str) -> None:
        """A number that may be a chance of what stands before it or behind it."""
        dropped = list(self.last_looks if self.group is None else () if self.group.chance else self.group.names)
        nor = f", nor what it says of {join_and(dropped)}" if any(dropped) else ""
        self._lost(f"'{written}' is a number, and nobody can tell of what{nor}")
        if self.group is None:
            self._last_name_unsure()
        elif not self.group.chance:
            self._not_carried(self.group.names)
            self.group = None

    def _lost(self, why: str) -> None:
        """From here on the cell cannot be read."""
        self.unread.append(why)
        self.lost = True
        self.chance, self.possible = "", False
        if self.group is None:
            self.normal = False
        elif not self.group.names:
            self.group = None

    def _take_back(self) -> str:
        """What was read of this part of the cell is in doubt too; says so."""
        looks, hets, normal = self.looks, self.hets, self.normal
        self.looks, self.hets, self.normal = self.before
        dropped = [name for name in dict.fromkeys((*looks, *hets)) if name not in self.looks and name not in self.hets]
        self.untold += dropped
        if normal and not self.normal:
            dropped.append("normal")
        return f", nor what it says of {', '.join(dropped)}" if dropped else ""

    def _nothing_behind(self, why: str) -> None:
        """A het, or a chance, with nothing behind it may belong to the name before it."""
        for look in self.last_looks:
            self.before[0].pop(look, None)
        self.unread.append(why + self._take_back())

    def _end_part(self, mark: str) -> None:
        """Another part of the cell begins. Behind a name, and a het or `possible` that names nothing, it may be meant otherwise."""
        group = self.group
        names_nothing = group is not None and not group.names and not group.of_column
        if (names_nothing or self.possible) and (self.last_looks or self.hets):
            if names_nothing:
                self._close()
            else:
                self._nothing_behind("'possible' of what is not said")
            self.lost, self.chance, self.possible = True, "", False
        if self.carried and not self.lost:
            self._next_of_column()
        elif self.group is not None and self.group.names and mark in ",;":
            self.group.comma = True
        self.before = dict(self.looks), dict(self.hets), self.normal

    def _of_column(self, unsure: str = "") -> _Carried:
        """A list that the column opens, with what its heading says of each."""
        said = self.carried.partition(" ")[0]
        chance = said if said.endswith("%") else ""
        return _Carried(chance, said == "possible", of_column=True, unsure=unsure)

    def _next_of_column(self) -> None:
        """The column goes on, behind a list that is whole."""
        group = self.group
        if group is None or (group.names and (group.need is None or len(group.names) >= group.need)):
            figure = "" if group is None else group.unsure if group.of_column else group.figure
            self._close()
            self.group = self._of_column("" if figure == "100%" else figure)

    def _last_name_unsure(self) -> None:
        """The last name may be carried, not seen."""
        for look in self.last_looks:
            self.looks.pop(look, None)
        self.untold += self.last_looks

    def _percent(self, token: str, following: str) -> None:
        in_brackets = token.startswith("^")
        chance = "".join(token.lstrip("^").replace(",", ".").split())
        if isinstance(read_chance(chance), str):
            self.unread.append(f"'{token}' is no chance")
            return
        group = self.group
        ends = in_brackets or not following or following in _SEPARATORS
        if group is not None and group.names and ends and not group.chance:
            for trait in filter(None, group.names[group.told :]):
                self.hets[trait] = chance
            group.told = len(group.names)
        elif ends and group is None and self.last_looks:
            self.unread.append(f"'{chance}' stands behind {' '.join(self.last_looks)}, which may be seen or carried")
            self._last_name_unsure()
        else:
            self.chance = chance

    def _open(self, need: int | None) -> None:
        group = self.group
        if group is not None and not group.names:
            group.need = need or group.need
            group.possible |= self.possible
            group.chance = self.chance or group.chance
            group.of_column = False
        else:
            if group is not None and group.of_column and not (self.chance or self.possible):
                before = [trait for trait in group.names if trait]
                self._not_carried(before)
                self.unread += [f"{join_and(before)} before a het may be seen or carried"] if before else []
            self._close()
            self.group = _Carried(self.chance, self.possible, need)
        self.chance, self.possible = "", False

    def _close(self) -> None:
        group, self.group = self.group, None
        if group is None:
            return
        named = [trait for trait in group.names if trait]
        if group.of_column and not group.names:
            return
        if not group.names:
            self.before = (*self.before[:2], self.normal)
            self._nothing_behind("a het is said, but not of what")
        elif group.need is not None and len(group.names) != group.need and not self.lost:
            self.unread.append(f"a het of {group.need} traits is said, but {len(named)} named ({', '.join(named)})")
            self._not_carried(named)

    def _not_carried(self, names: Sequence[str]) -> None:
        for trait in names:
            self.hets.pop(trait, None)

    def _name(self, tokens: list[str], at: int) -> int:
        """A name of as many words as there is one for; what no name begins with is asked for as a whole."""
        words: list[str] = []
        for token in tokens[at:]:
            if _is_mark(token) and not (words and self._begins([*words, token])):
                break
            words.append(_long(token))
        for count in range(min(len(words), max(self.words.names.longest, 4)), 0, -1):
            phrase = one_case(" ".join(words[:count]))
            written = " ".join(tokens[at : at + count])
            means = self.words.known(phrase)
            if means is not None:
                self._named(written, means, more=at + count < len(tokens))
                return count
            if phrase in self.words.names.meanings:  # one of several lines, and nobody knows which
                self.unread.append(f"nobody knows what '{written}' is")
                self._not_named()
                return count
            if phrase in self.words.own:  # asked for before, and nobody knows
                self._lost(f"nobody knows what '{written}' is{self._take_back()}")
                return count
        next_name = (n for n in range(1, len(words)) if any(self._begins(words[n : n + k]) for k in (1, 2, 3, 4)))
        count = next(next_name, max(len(words), 1))
        word = " ".join(tokens[at : at + count]).strip(".:")
        means = self.words.explained(word, self.where)
        if means is None:
            self._lost(f"'{word}' is not known{self._take_back()}")
        else:
            self._named(word, means, more=at + count < len(tokens))
        return count

    def _begins(self, words: list[str]) -> bool:
        phrase = one_case(" ".join(words))
        return phrase in self.words.names.meanings or phrase in self.words.own

    def _not_named(self) -> None:
        """What a het is of, where that is not taken: a name behind it goes on with its list."""
        if self.chance or self.possible:
            self._open(None)
        if self.group is not None:
            self.group.names.append("")
            self.group.told = len(self.group.names)

    def _named(self, written: str, means: Means, *, more: bool) -> None:
        if means.words:
            before = self.before
            self._run(means.words)
            self.before = before
            if self.carried and not self.lost:
                self._next_of_column()
            elif self.group is not None and self.group.names:
                self.group.comma = True
            return
        if not means.looks:
            if more or self.looks or self.hets or self.normal or self.group:
                self.unread.append(f"'{written}' was said to be no trait; the rest was read without it")
            return
        if self.chance or self.possible:
            self._open(None)
        group = self.group
        if group is None:
            self._seen(means)
        elif group.of_column and group.unsure:
            self.unread.append(f"'{written}' stands behind '{group.unsure}', which may be said of it too")
            self._not_named()
        elif self.carried and not means.carried:
            self.unread.append(self.words.why_not_carried(written, means))
            self.untold += means.looks
            self._not_named()
        elif not means.carried:
            if group.names and (group.comma or len(group.names) == group.need):
                self._close()
                self._seen(means)
            elif group.names:
                self._lost(f"'{written}' behind a het may be seen or carried")
                self.untold += means.looks
            elif group.need is None:
                self._lost(self.words.why_not_carried(written, means))
            else:
                self.unread.append(self.words.why_not_carried(written, means))
                self._not_named()
        elif group.comma and (group.need is None or len(group.names) >= group.need):
            self.unread.append(f"'{written}' behind a het may be seen or carried")
            self.untold += means.looks
        else:
            group.names += means.carried
            self.hets.update(dict.fromkeys(means.carried, group.chance or ("" if group.possible else "100%")))
            group.told = len(group.names) if group.chance else group.told

    def _seen(self, means: Means) -> None:
        self.looks.update(dict.fromkeys(means.looks))
        self.last_looks = means.looks


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
