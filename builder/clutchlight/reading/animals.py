"""What is written of one animal → an animal: parents looked up, looks and claims read, whereabouts settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from clutchlight.model import Animal, Photo, Role, Sex
from clutchlight.reading.evidence import claims_from, readings_from, refuse_shows_and_looks, stated_from, tests_from
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import AnimalDraft, Register, joined
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import AnimalFacts, ParentRecord, PhotoRecord, SireRecord

SEX_OF_ROLE: Mapping[Role, Sex] = {"sire": "male", "dam": "female"}


@dataclass
class Surroundings:
    """What a record is read against."""

    findings: Findings
    register: Register
    names: Mapping[str, Names]
    photos: frozenset[str]
    animals: dict[str, Animal] = field(default_factory=dict)


def parent_in_place(
    record: ParentRecord | SireRecord, child: str, role: Role, species: str, around: Surroundings
) -> str:
    """Enters a nameless parent that was written in its child's record; returns its id."""
    parent = f"{child}:{role}"
    names = around.names.get(species)
    refuse_shows_and_looks(record, around.findings)
    readings = readings_from(record, names, around.findings)
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
    draft: AnimalDraft, species: str, around: Surroundings, *, sire: str | None, dam: str | None, egg: str
) -> None:
    """Enters the animal of a draft. `sire`, `dam`: as its clutch has them, or None: as its own record has them."""
    findings, names = around.findings, around.names.get(species)
    facts = joined(draft, findings)
    own, clutch = draft.own, draft.clutch
    birth = clutch or own
    if clutch is None and own is not None:
        sire = parent_of(own.sire, draft.id, "sire", species, around)
        dam = parent_of(own.dam, draft.id, "dam", species, around)
    has_parents = clutch is not None or (own is not None and (own.sire is not None or own.dam is not None))
    if facts.claims and has_parents:
        _refuse_claims(facts, draft, findings)
    if facts.stated and not has_parents:
        findings.report(
            facts.at.value("stated"),
            "stated-on-founder",
            "`stated` is for an animal with recorded parents; what was said of a founder goes into `claims`",
        )
    _check_whereabouts(facts, findings)
    readings = readings_from(facts, names, findings)
    sold = facts.left is not None and facts.left.how == "sold"
    places = {key: facts.at.value(key) for key in facts.written}
    if birth is not None:
        places |= {key: birth.at.value(key) for key in ("hatched", "sire", "dam") if key in birth.written}
    around.animals[draft.id] = facts.as_value(
        Animal,
        id=draft.id,
        species=species,
        place=draft.place,
        sex=facts.sex or "unknown",
        was=draft.was,
        hatched=None if birth is None else birth.hatched,
        sire=sire,
        dam=dam,
        clutch=None if clutch is None else str(clutch.id),
        egg=egg,
        readings=readings,
        claims=() if has_parents else claims_from(facts.claims, readings[-1] if readings else None, names, findings),
        stated=stated_from(facts.stated, names, findings),
        tests=tests_from(facts.tests, names, findings),
        status=facts.status or ("sold" if sold else "not for sale"),
        photos=photos_from(facts.photos, around.photos, findings),
        prose=draft.prose,
        places=places,
    )


def parent_of(record: ParentRecord | None, child: str, role: Role, species: str, around: Surroundings) -> str | None:
    """The id of a parent, by id or described in place; None when there is none, or none that is known."""
    if record is None:
        return None
    if record.id is None:
        return parent_in_place(record, child, role, species, around)
    more = sorted(record.written - {"id"})
    if more:
        around.findings.report(
            record.at.key(more[0]),
            "parent-twice",
            f"this {role} has the id '{record.id}'; write `{more[0]}` in its own record, or leave the id out",
        )
    return around.register.parent(record.id, role, around.findings)


def _refuse_claims(facts: AnimalFacts, draft: AnimalDraft, findings: Findings) -> None:
    own = draft.own
    if draft.clutch is None and own is not None and (own.sire is None) != (own.dam is None):
        other, whose = ("dam", "her") if own.dam is None else ("sire", "him")
        trait = str(facts.claims[0].trait)
        message = (
            f"a claim is for an animal without recorded parents; write what was said of the {other}, who has no record,"
            f" in place: `{other}: {{claims: {{{trait}: 100%}}}}` with the chance that was said of {whose}, or"
            f" `{other}: {{shows: [{trait}]}}` if that was seen; or write `stated` to show the seller's figure without counting it"
        )
    else:
        message = (
            "the parents are on record, so its figures are computed; write `stated` instead of `claims` to show the"
            " seller's figure beside them without counting it"
        )
    findings.report(facts.at.value("claims"), "claim-needs-founder", message)


def _check_whereabouts(facts: AnimalFacts, findings: Findings) -> None:
    left, came, status = facts.left, facts.came, facts.status
    if left is None or (
        came is not None and came.on is not None and left.on is not None and came.on.last > left.on.last
    ):
        return
    place, said = facts.at.value("status"), f"it left ({left.how}) but its status is '{status}'"
    if status in ("available", "on hold"):
        findings.report(place, "left-but-for-sale", f"{said}; change the status or take `left` out")
    elif status in ("breeder", "holdback", "growing on") and left.how != "loan":
        findings.report(place, "status-and-left", f"{said}; write the status that holds today")
    elif status == "sold" and left.how not in ("sold", "traded"):
        said = f"its status is 'sold' but it left otherwise ({left.how})"
        findings.report(place, "status-and-left", f"{said}; keep what is true")


KINDS = (".jpg", ".jpeg", ".png", ".webp", ".gif", ".tif", ".tiff", ".bmp")


def photos_from(records: Sequence[PhotoRecord], there: frozenset[str], findings: Findings) -> tuple[Photo, ...]:
    """The photos that a record names; each must lie in photos/."""
    found: list[Photo] = []
    for record in records:
        name = record.file.strip()
        if fault := _fault(name):
            findings.report(record.file.place, "photo-name", f"'{name}' {fault}")
        elif name not in there:
            near = findings.nearest(name, there)
            remedy = f"; the nearest is '{near}'" if near else "; put the file there or take the line out"
            findings.report(record.file.place, "photo-missing", f"there is no '{name}' in photos/{remedy}")
        else:
            found.append(record.as_value(Photo, file=name, place=record.file.place))
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
