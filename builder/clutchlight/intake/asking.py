"""Dialogue to the breeder, and where the answers come from: a file of answers, what was answered before, or the terminal.

A question has a key that stays the same from run to run, so that an answer can be kept and given again. Where nobody answers, the answer
that takes least for granted stands, and the question is counted as left open.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from msgspec import Struct

from clutchlight.editing.writing import quoted
from clutchlight.problems import RecordsError
from clutchlight.reading.fields import entries
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import Table, WrittenText
from clutchlight.reading.yaml_records import compose


class ToAsk(Struct, frozen=True):
    """One question. `choices`: (what to answer, what it means). `free`: what else may be answered, in words; "" when nothing else may.

    `unanswered`: the answer that stands when nobody gives one. `brief`: the question by itself. `wrong`: what is wrong with another answer
    than the choices, "" where nothing is.
    """

    key: str
    text: str
    choices: tuple[tuple[str, str], ...]
    unanswered: str
    free: str = ""
    brief: str = ""
    wrong: Callable[[str], str] = lambda answer: ""

    def left_open(self) -> str:
        """What was asked, and what was done without an answer."""
        done = next((means or choice for choice, means in self.choices if choice == self.unanswered), self.unanswered)
        question = self.brief or self.text.splitlines()[0]
        return f"{question} Until you answer: {done}."

    def fits(self, answer: str) -> str | None:
        """The answer as its choice is written; None when it is none."""
        plain = " ".join(answer.split())
        of_its_own = plain.isdecimal() and self.free and not self.wrong(plain)  # an animal may be called 1
        for number, (choice, _) in enumerate(self.choices, 1):
            numbered = plain == str(number) and not of_its_own
            yes_or_no = choice in ("yes", "no") and plain.casefold() == choice[0]
            if plain.casefold() in (choice.casefold(), choice.rstrip("%")) or numbered or yes_or_no:
                return choice
        return plain if self.free and plain and not self.wrong(plain) else None

    def why_not(self, answer: str) -> str:
        """What is wrong with an answer that is none, and what may be answered."""
        why = self.free and self.wrong(" ".join(answer.split()))
        may_be = f"That is none of the answers; {self.may_be()}"
        return f"{why}; or choose 1 to {len(self.choices)}." if why else may_be

    def may_be(self) -> str:
        """What may be answered."""
        named = " or ".join(f"'{choice}'" for choice, _ in self.choices[:2])
        others = f", or {self.free}" if self.free else ""
        return f"type a number from 1 to {len(self.choices)}, or an answer such as {named}{others}."


Ask = Callable[[ToAsk], str | None]
"""Puts a question; None when nobody is there to answer."""


class Dialogue:
    """Puts each question once, and keeps what was answered. `said`: the answers of this run; `of_file`: the keys of those of a file.

    `given`: the answers of that file, which go before those of earlier runs, `remembered`.
    """

    def __init__(self, given: Mapping[str, str], ask: Ask, remembered: Mapping[str, str] | None = None) -> None:
        self.given = {key.casefold(): answer for key, answer in {**(remembered or {}), **given}.items()}
        self.ask = ask
        self.scope, self.of_file = "", tuple(given)
        self.answers: dict[str, str] = {}
        self.asked: dict[str, ToAsk] = {}
        self.said: dict[str, str] = {}
        self.open: dict[str, ToAsk] = {}
        self.misfits: dict[str, str] = {}

    def put(
        self,
        key: str,
        text: str,
        choices: tuple[tuple[str, str], ...],
        free: str = "",
        *,
        unanswered: str = "",
        of_sheet: bool = False,
        brief: str = "",
        wrong: Callable[[str], str] = lambda answer: "",
    ) -> str:
        """The answer, from wherever it comes; each question is put once. One `of_sheet` is put for each kind of sheet.

        Where nobody answers, `unanswered` stands, or else the last choice.
        """
        key = f"{key}, {self.scope}" if of_sheet else key
        if key in self.answers:
            return self.answers[key]
        question = ToAsk(key, text, choices, unanswered or choices[-1][0], free, brief, wrong)
        given = self.given.get(key.casefold())
        found = None if given is None else question.fits(given)
        if given is not None and found is None:
            self.misfits[key] = given
        if found is None:
            said = self.ask(question)
            found = None if said is None else question.fits(said)
            if found is not None:
                self.said[key] = found
        if found is None:
            self.open[key] = question
            found = question.unanswered
        self.asked[key] = question
        self.answers[key] = found
        return found

    def agreed(self, key: str, text: str, yes: str, no: str, *, of_sheet: bool = False) -> bool:
        """Whether the answer is yes; without one it is no. `yes`, `no`: what each means."""
        return self.put(key, text, (("yes", yes), ("no", no)), of_sheet=of_sheet) == "yes"

    def some_of(
        self, key: str, names: Collection[str], text: str, choices: tuple[str, str], free: str, brief: str
    ) -> set[str]:
        """Those of several that an answer names: all, none, or their ids with commas. `choices`: what all means, and what none."""

        def said(answer: str) -> set[str]:
            return {name.strip().casefold() for name in answer.split(",")}

        def wrong(answer: str) -> str:
            others = said(answer) - {name.casefold() for name in names}
            return f"'{', '.join(sorted(others))}' is none of them" if others else ""

        ways = tuple(zip(("all", "none"), choices, strict=True))
        answer = self.put(f"{key} {', '.join(names)}", text, ways, free, brief=brief, wrong=wrong)
        return {name for name in names if answer == "all" or name.casefold() in said(answer)}


def answers_from(text: str, file: str) -> Mapping[str, str]:
    """The answers of a file, by key. Raises RecordsError when it is no file of answers."""
    findings = Findings()
    root = compose(text, file, findings)
    answers = entries(root) if isinstance(root, Table) else []
    for key, value in answers:
        if not isinstance(value, WrittenText):
            findings.report(key.place, "wrong-shape", f"the answer to '{key}' is no text; write it on one line")
    if root is not None and not isinstance(root, Table):
        said = "this is no file of answers; write a line for each, `question: answer`"
        findings.report(root.place, "wrong-shape", said)
    if findings.errors:
        raise RecordsError(findings.problems)
    return {str(key): str(value) for key, value in answers}


_UNANSWERED = "Nobody answered this, so this was taken; to answer, take the # away and put your answer in its place."


def as_file(questions: Dialogue, head: str) -> str:
    """The answers as a file that `answers_from` reads: each question as a comment above its answer, what nobody answered too."""
    parts = [f"# {head}\n"]
    for key, question in questions.asked.items():
        lines = [*question.text.split("\n"), *(f"  {choice}: {means}" for choice, means in question.choices)]
        if question.free:
            lines.append(f"  or {question.free}")
        still = key in questions.open
        if still:
            lines.append(_UNANSWERED)
        comment = "".join(f"# {line}".rstrip() + "\n" for line in lines)
        parts.append(f"\n{comment}{'#' if still else ''}{quoted(key)}: {quoted(questions.answers[key])}\n")
    return "".join(parts)
