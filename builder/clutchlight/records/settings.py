"""collection.yaml → settings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from clutchlight.model import Settings
from clutchlight.plaintext.findings import Findings
from clutchlight.plaintext.values import Items, Table
from clutchlight.problems import Place
from clutchlight.records.shapes import DOUBT_BELOW, MENTION_FROM, SettingsRecord


def settings_from(record: SettingsRecord, findings: Findings) -> Settings:
    """The settings; a missing collection_id is reported together with one to paste."""
    if record.collection_id is None:
        offered = uuid5(NAMESPACE_URL, f"clutchlight collection {record.name}")
        findings.report(
            record.at.place,
            "collection-id-missing",
            "`collection_id` is missing; it names this collection for good, so that feeds stay the same feeds: add the line"
            f" `collection_id: {offered}` and never change it",
        )
    thresholds = record.thresholds
    return Settings(
        name=str(record.name),
        collection_id=record.collection_id or "",
        species=tuple(dict.fromkeys(str(key) for key in record.species)),
        contact={str(key): str(text) for key, text in record.contact.items()},
        web_address=record.web_address,
        currency=record.currency,
        theme="paper" if record.theme is None else str(record.theme),
        mention_from=thresholds.mention_from if thresholds else MENTION_FROM,
        doubt_below=thresholds.doubt_below if thresholds else DOUBT_BELOW,
        publish_from_log=tuple(dict.fromkeys(record.publish_from_log)),
        law=_texts(record.law),
        advert=_texts(record.advert),
        about=None if record.about is None else str(record.about),
        season=_plain(record.season) if record.season is not None else {},
        place=Place("collection.yaml", record.at.place.line, record.at.place.column),
    )


def _texts(written: Sequence[str]) -> tuple[str, ...]:
    return tuple(str(text) for text in written)


def _plain(value: object) -> Any:
    if isinstance(value, Table):
        return {key: _plain(item) for key, item in value.items() if key != "private"}
    if isinstance(value, Items):
        return tuple(_plain(item) for item in value)
    return str(value)
