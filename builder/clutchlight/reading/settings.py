"""collection.yaml and the front matter of free pages: what they may say, and the settings that they become."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, get_args
from urllib.parse import urlsplit
from uuid import NAMESPACE_URL, UUID, uuid5

from clutchlight.model import Settings
from clutchlight.model.collection import CLAIM_TRUST, DOUBT_BELOW, MENTION_FROM, UNRECORDED_CARRIERS, DatesBegin
from clutchlight.model.private import STAGES, SeasonRules
from clutchlight.reading.fields import (
    EMPTY,
    Chance,
    Count,
    CountRange,
    Doubt,
    Number,
    Rare,
    Sentences,
    TextsByName,
    Trust,
    Words,
    one_of,
    parse_slug,
    several,
    text_of,
)
from clutchlight.reading.findings import Findings
from clutchlight.reading.strict import RecordShape, UnfitError, read_as, wrong_shape
from clutchlight.reading.text import Table, Written, WrittenText

LOG_FACTS = ("weight", "meals", "sheds")
FORMAT = 1


def _uuid(value: Written) -> str:
    text = text_of(value, "one UUID")
    try:
        return str(UUID(text.strip()))
    except ValueError:
        said = f"'{text}' is no UUID; restore the old one, or delete the line and `check` offers one"
        raise UnfitError("bad-collection-id", said) from None


def _web_address(value: Written) -> str:
    text = text_of(value, "one address")
    if "@" in text.partition("://")[2].partition("/")[0]:
        said = "the address holds a name or password, which every page would show; take out all before the '@'"
        raise UnfitError("password-in-address", said)
    try:
        parts = urlsplit(text)
        good = parts.scheme in ("http", "https") and parts.hostname and not parts.query and not parts.fragment
    except ValueError:
        good = False
    if not good or any(char.isspace() for char in text):
        raise UnfitError("bad-address", f"'{text}' is no web address; write it like https://example.org/")
    return str(text)


def _currency(value: Written) -> str:
    text = text_of(value, "one currency")
    if len(text) > 3 or any(char.isdigit() for char in text):
        raise UnfitError("bad-currency", f"'{text}' is no currency; write its three letters, such as EUR")
    return str(text)


def _format(value: Written) -> int:
    text = text_of(value, "one number")
    if not text.isascii() or not text.isdigit() or len(text) > 6:
        raise UnfitError("bad-number", f"'{text}' is no format; this version reads format {FORMAT}")
    if int(text) > FORMAT:
        said = f"these records are in format {text}, but this version reads up to {FORMAT}; update Clutchlight"
        raise UnfitError("newer-format", said)
    return int(text)


def _table(value: Written) -> Table:
    if not isinstance(value, Table):
        raise wrong_shape(value, "keys with values")
    return value


class ThresholdsRecord(RecordShape, noun="thresholds"):
    mention_from: Chance = MENTION_FROM
    doubt_below: Doubt = DOUBT_BELOW


class SettingsRecord(RecordShape, noun="collection.yaml"):
    """collection.yaml."""

    form: Annotated[int, _format, "format"] = FORMAT
    name: Words
    collection_id: Annotated[str, _uuid] | None = None
    species: Annotated[tuple[WrittenText, ...], several(parse_slug)]
    contact: TextsByName = EMPTY
    web_address: Annotated[str, _web_address] | None = None
    currency: Annotated[str, _currency] | None = None
    theme: Annotated[str, parse_slug] = "paper"
    thresholds: ThresholdsRecord = ThresholdsRecord()
    unrecorded: Rare = UNRECORDED_CARRIERS
    claim_trust: Trust = CLAIM_TRUST
    law: Sentences = ()
    advert: Sentences = ()
    terms: Sentences = ()
    publish_from_log: Annotated[tuple[str, ...], several(one_of(LOG_FACTS))] = ()
    dates: Annotated[DatesBegin, one_of(get_args(DatesBegin))] | None = None
    season: Annotated[Table | None, _table] = None
    about: Words | None = None


class PageRecord(RecordShape, noun="a page"):
    """The front matter of a free page."""

    title: Words


def settings_from(record: SettingsRecord, findings: Findings) -> Settings:
    """The settings; a missing collection_id is reported together with one to paste."""
    if record.collection_id is None:
        offered = uuid5(NAMESPACE_URL, f"clutchlight collection {record.name}")
        said = (
            "`collection_id` is missing; it names this collection for good, so that feeds stay the same feeds: add the line"
            f" `collection_id: {offered}` and never change it"
        )
        findings.report(record.place, "collection-id-missing", said)
    if not record.species:
        words = "`species` is empty; name at least one, such as `species: [ball-python]`"
        findings.report(record.at.value("species"), "missing-key", words)
    return record.as_value(
        Settings,
        collection_id=record.collection_id or "",
        species=tuple(dict.fromkeys(str(key) for key in record.species)),
        mention_from=record.thresholds.mention_from,
        doubt_below=record.thresholds.doubt_below,
        publish_from_log=tuple(dict.fromkeys(record.publish_from_log)),
    )


Stage = Annotated[str, one_of(STAGES, stranger="is no stage of a season")]


class WindowRecord(RecordShape, noun="a window"):
    after: Stage
    comes: Stage
    days: CountRange


class LimitsRecord(RecordShape, noun="the limits of a male in use"):
    """Limits of a male in use; every one may be left out."""

    pairings_per_7_days: Number | None = None
    days_in_a_row: Number | None = None
    females: Number | None = None
    rest_days: Number | None = None
    weight_loss_percent: Number | None = None
    refusals: Number | None = None


class MaleRecord(LimitsRecord):
    small_below_g: Number | None = None
    small_or_first_season: LimitsRecord | None = None


class GrownRecord(RecordShape, noun="readiness"):
    age_months: Number | None = None
    weight_g: Number | None = None


class ReadinessRecord(RecordShape, noun="readiness"):
    male: GrownRecord | None = None
    female: GrownRecord | None = None


class RulesRecord(RecordShape, noun="season"):
    """`season:` in collection.yaml, for all species or, under a species' key, for one."""

    male: MaleRecord | None = None
    readiness: ReadinessRecord | None = None
    windows: tuple[WindowRecord, ...] = ()
    sire_window_days: Count | None = None


def read_rules(table: Table, species: tuple[str, ...], findings: Findings) -> Mapping[str, SeasonRules]:
    """The rules by species key; "" for those that hold for all."""
    apart = {key: table[key] for key in species if isinstance(table.get(key), Table)}
    general = Table({key: value for key, value in table.items() if key not in apart})
    general.mark = table.mark
    found = ((key, read_as(RulesRecord, part, findings)) for key, part in {"": general, **apart}.items())
    return {key: _rules(record) for key, record in found if record is not None}


def _rules(record: RulesRecord) -> SeasonRules:
    male, readiness = record.male, record.readiness
    small = male.small_or_first_season if male else None
    grown = {"male": readiness.male, "female": readiness.female} if readiness else {}
    return SeasonRules(
        male=male.numbers if male else {},
        small_male=small.numbers if small else {},
        readiness={(sex, name): number for sex, one in grown.items() if one for name, number in one.numbers.items()},
        windows={(one.after, one.comes): (one.days.first, one.days.last) for one in record.windows},
        sire_window_days=record.sire_window_days,
    )
