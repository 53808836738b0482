"""`season:` in collection.yaml → the breeder's own limits for males in use, readiness and windows."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from clutchlight.model.season import SeasonRules
from clutchlight.plaintext.findings import Findings, in_words, nearest
from clutchlight.plaintext.strict import read_as
from clutchlight.plaintext.values import Table, Text
from clutchlight.records.private_shapes import LimitsRecord, RulesRecord, rules_by_species

LIMITS = ("pairings_per_7_days", "rest_days", "weight_loss_percent", "refusals")
_GROWN = ("age_months", "weight_g")

# The stages that a window can lead from and to, as the log names them.
STAGES = ("building", "ovulation", "pre-lay shed", "laid", "pipped", "hatched", "first shed", "first meal")


def read_rules(table: Table, species: tuple[str, ...], findings: Findings) -> Mapping[str, SeasonRules]:
    """The rules by species key; "" for those that hold for all."""
    found: dict[str, SeasonRules] = {}
    for key, part in rules_by_species(table, species).items():
        record = read_as(RulesRecord, part, findings)
        if record is not None:
            found[key] = _rules(record, findings)
    return found


def _rules(record: RulesRecord, findings: Findings) -> SeasonRules:
    male = record.male
    limits = {} if male is None else _limits(male)
    if male is not None and male.small_below_g is not None:
        limits["small_below_g"] = male.small_below_g
    small = {} if male is None or male.small_or_first_season is None else _limits(male.small_or_first_season)
    return SeasonRules(
        male=limits,
        small_male=small,
        readiness=_readiness(record),
        windows=_windows(record, findings),
        sire_window_days=record.sire_window_days,
    )


def _limits(record: LimitsRecord) -> dict[str, Fraction]:
    return {name: value for name in LIMITS if (value := getattr(record, name)) is not None}


def _readiness(record: RulesRecord) -> dict[tuple[str, str], Fraction]:
    found: dict[tuple[str, str], Fraction] = {}
    for sex in ("male", "female"):
        grown = getattr(record.readiness, sex) if record.readiness is not None else None
        for name in _GROWN:
            value = getattr(grown, name) if grown is not None else None
            if value is not None:
                found[sex, name] = value
    return found


def _windows(record: RulesRecord, findings: Findings) -> dict[tuple[str, str], tuple[int, int]]:
    found: dict[tuple[str, str], tuple[int, int]] = {}
    for window in record.windows:
        after, comes = _stage(window.after, findings), _stage(window.comes, findings)
        if window.days.last < window.days.first:
            findings.report(
                window.days.at.value("to"),
                "bad-number",
                f"`to` ({window.days.last}) is less than `from` ({window.days.first}); write the smaller one first",
            )
        if after is not None and comes is not None:
            found[after, comes] = (window.days.first, window.days.last)
    return found


def _stage(name: Text, findings: Findings) -> str | None:
    word = " ".join(name.casefold().split())
    if word in STAGES:
        return word
    near = nearest(word, STAGES)
    remedy = f"the nearest is '{near}'" if near else f"write {in_words(STAGES)}"
    findings.report(name.place, "unknown-word", f"'{name}' is no stage of a season; {remedy}")
    return None
