"""Drafts of animals → animals: parents looked up, looks and claims read, whereabouts settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Any, Literal, cast

from clutchlight.model import Animal, Coming, Correction, Photo, Publish, Sex, Sexed, Status
from clutchlight.problems import Place
from clutchlight.reading.evidence import Fact, Facts, claims_from, readings_from, stated_from, tests_from
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Draft, Register, joined
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import ParentRecord, PhotoRecord, SireRecord
from clutchlight.reading.strict import Written

Role = Literal["sire", "dam"]
SEX_OF_ROLE: Mapping[Role, Sex] = {"sire": "male", "dam": "female"}


@dataclass
class Surroundings:
    """What a record is read against."""

    findings: Findings
    register: Register
    names: Mapping[str, Names]
    photos: frozenset[str]
    animals: dict[str, Animal] = field(default_factory=dict)


def facts_of(record: Written) -> dict[str, Fact]:
    """The keys that a record gives, with their places."""
    return {key: Fact(getattr(record, key), record.at.value(key)) for key in sorted(record.written)}


def parent_in_place(
    record: ParentRecord | SireRecord, child: str, role: Role, species: str, around: Surroundings
) -> str:
    """Enters a nameless parent that was written in its child's record; returns its id."""
    parent = f"{child}:{role}"
    names = around.names.get(species)
    facts = facts_of(record)
    if "shows" in facts and "looks" in facts:
        around.findings.report(
            facts["looks"].place,
            "shows-and-looks",
            "`shows` and `looks` stand side by side; put every reading into `looks`",
        )
    readings = readings_from(facts, names, around.findings)
    around.animals[parent] = Animal(
        id=parent,
        species=species,
        place=record.at.place,
        sex=SEX_OF_ROLE[role],
        egg=parent,
        readings=readings,
        claims=claims_from(record.claims, readings[-1] if readings else None, names, around.findings),
        status="elsewhere",
        publish="no",
        described_in=child,
    )
    return parent


def add_animal(
    draft: Draft, species: str, around: Surroundings, *, sire: str | None, dam: str | None, egg: str
) -> None:
    """Enters the animal of a draft. `sire`, `dam`: as its clutch has them, or None: as its own record has them."""
    findings, names = around.findings, around.names.get(species)
    facts = joined(draft, findings)
    own, clutch = draft.own, draft.clutch
    if clutch is None and own is not None:
        sire = _parent(own.sire, draft.id, "sire", species, around)
        dam = _parent(own.dam, draft.id, "dam", species, around)
    readings = readings_from(facts, names, findings)
    written_claims = _value(facts, "claims", ())
    has_parents = clutch is not None or (own is not None and (own.sire is not None or own.dam is not None))
    if written_claims and has_parents:
        _refuse_claims(facts, draft, findings)
        written_claims = []
    if _value(facts, "stated", ()) and not has_parents:
        findings.report(
            facts["stated"].place,
            "stated-on-founder",
            "`stated` is for an animal with recorded parents; what was said of a founder goes into `claims`",
        )
    left = _value(facts, "left", None)
    status, written_status = _status(facts)
    _check_whereabouts(facts, written_status, findings)
    hatched = clutch.hatched if clutch is not None else own.hatched if own is not None else None
    sexed = _value(facts, "sexed", None)
    came = _value(facts, "came", None)
    around.animals[draft.id] = Animal(
        id=draft.id,
        species=species,
        place=draft.place,
        sex=cast(Sex, _value(facts, "sex", "unknown")),
        name=_text(facts, "name"),
        was=draft.was,
        sexed=None if sexed is None else Sexed(str(sexed.how), sexed.on),
        hatched=hatched,
        sire=sire,
        dam=dam,
        clutch=None if clutch is None else str(clutch.id),
        egg=egg,
        readings=readings,
        claims=claims_from(written_claims, readings[-1] if readings else None, names, findings),
        stated=stated_from(_value(facts, "stated", ()), names, findings),
        tests=tests_from(_value(facts, "tests", ()), names, findings),
        impressions=tuple(str(text) for text in _value(facts, "impressions", ())),
        status=status,
        came=None if came is None else Coming(came.how, came.on),
        left=None if left is None else Coming(left.how, left.on),
        origin=_value(facts, "origin", None),
        price=_value(facts, "price", None),
        photos=photos_from(_value(facts, "photos", ()), around.photos, findings),
        publish=cast(Publish, _value(facts, "publish", "page")),
        corrections=tuple(
            Correction(record.on, str(record.key), str(record.was), str(record.because))
            for record in _value(facts, "corrections", ())
        ),
        prose=draft.prose,
        sire_place=_parent_place(draft, "sire"),
        dam_place=_parent_place(draft, "dam"),
        places={key: fact.place for key, fact in facts.items()} | _own_places(draft),
    )


def _own_places(draft: Draft) -> dict[str, Place]:
    if draft.clutch is not None and "hatched" in draft.clutch.written:
        return {"hatched": draft.clutch.at.value("hatched")}
    if draft.own is not None and "hatched" in draft.own.written:
        return {"hatched": draft.own.at.value("hatched")}
    return {}


def _parent_place(draft: Draft, role: Role) -> Place | None:
    holder: Written | None = draft.clutch if draft.clutch is not None else draft.own
    if holder is None or role not in holder.written:
        return None
    return holder.at.value(role)


def _parent(record: ParentRecord | None, child: str, role: Role, species: str, around: Surroundings) -> str | None:
    if record is None:
        return None
    if record.id is None:
        return parent_in_place(record, child, role, species, around)
    refuse_both(record, role, around.findings)
    return around.register.parent(record.id, role, around.findings)


def refuse_both(record: ParentRecord, role: Role, findings: Findings) -> None:
    """An animal with an id has a record of its own; nothing more is said of it in place."""
    more = sorted(record.written - {"id"})
    if more:
        findings.report(
            record.at.key(more[0]),
            "parent-twice",
            f"this {role} has the id '{record.id}'; write `{more[0]}` in its own record, or leave the id out",
        )


def _refuse_claims(facts: Facts, draft: Draft, findings: Findings) -> None:
    own, place = draft.own, facts["claims"].place
    one_only = draft.clutch is None and own is not None and (own.sire is None) != (own.dam is None)
    if one_only and own is not None:
        other = "dam" if own.dam is None else "sire"
        findings.report(
            place,
            "claim-needs-founder",
            f"a claim is for an animal without recorded parents; move it to the other parent:"
            f" `{other}: {{claims: ...}}`, or write `stated` to show the seller's figure without counting it",
        )
        return
    findings.report(
        place,
        "claim-needs-founder",
        "the parents are on record, so its figures are computed; write `stated` instead of `claims` to show the seller's figure"
        " beside them without counting it",
    )


def _status(facts: Facts) -> tuple[Status, Status | None]:
    written = cast("Status | None", _value(facts, "status", None))
    left = _value(facts, "left", None)
    if written is None and left is not None and left.how == "sold":
        return "sold", None
    return written or "not for sale", written


def _check_whereabouts(facts: Facts, status: Status | None, findings: Findings) -> None:
    left, came = _value(facts, "left", None), _value(facts, "came", None)
    if left is None or (
        came is not None and came.on is not None and left.on is not None and came.on.last > left.on.last
    ):
        return
    if status in ("available", "on hold"):
        findings.report(
            facts["status"].place,
            "left-but-for-sale",
            f"it left ({left.how}) but its status is '{status}'; change the status or take `left` out",
        )
    elif status in ("breeder", "holdback", "growing on") and left.how != "loan":
        findings.report(
            facts["status"].place,
            "status-and-left",
            f"it left ({left.how}) but its status is '{status}'; write the status that holds today",
        )
    elif status == "sold" and left.how not in ("sold", "traded"):
        findings.report(
            facts["status"].place,
            "status-and-left",
            f"its status is 'sold' but it left otherwise ({left.how}); keep what is true",
        )


def _value(facts: Facts, key: str, otherwise: Any) -> Any:
    return facts[key].value if key in facts else otherwise


def _text(facts: Facts, key: str) -> str | None:
    return str(facts[key].value) if key in facts else None


KINDS = (".jpg", ".jpeg", ".png", ".webp", ".gif", ".tif", ".tiff", ".bmp")


def photos_from(records: Sequence[PhotoRecord], there: frozenset[str], findings: Findings) -> tuple[Photo, ...]:
    """The photos that a record names; each must lie in photos/."""
    found: list[Photo] = []
    for record in records:
        name = record.file.strip()
        fault = _fault(name)
        if fault is not None:
            findings.report(record.file.place, "photo-name", f"'{name}' {fault}")
        elif name not in there:
            near = findings.nearest(name, there)
            remedy = f"; the nearest is '{near}'" if near else "; put the file there or take the line out"
            findings.report(record.file.place, "photo-missing", f"there is no '{name}' in photos/{remedy}")
        else:
            alt = None if record.alt is None else str(record.alt)
            found.append(Photo(name, record.file.place, record.on, alt))
    return tuple(found)


def _fault(name: str) -> str | None:
    path = PurePosixPath(name)
    if name.startswith("photos/"):
        return "is looked for inside photos/ already; leave 'photos/' out"
    if "\\" in name or ":" in name or path.is_absolute() or ".." in path.parts or name != path.as_posix():
        return "leads out of photos/ or is not a plain name; copy the file into photos/ and write its name"
    if path.suffix.casefold() not in KINDS:
        return "is not a kind of photo that can be shown; save it as JPEG, PNG or WebP"
    return None
