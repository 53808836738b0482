"""Every code that a problem can have: how serious it is, what is wrong, and what to do. The one list of them.

The program may use no code that is missing here, and a test holds this list against the codes in the program and against
the bad collections in `tests/bad/`, one for each code that records can have. The reference takes them from here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from clutchlight.problems import Level


class Code(NamedTuple):
    """A documented code. `about` is the heading it stands under."""

    name: str
    about: str
    wrong: str
    remedy: str
    level: Level


_TABLE = """
# Files

no-collection: The folder has no collection.yaml. → Name your collection's folder, or start one.
cannot-read: A file or folder cannot be opened, or is no ordinary file. → Look at its permissions.
outside-collection: A link leads out of the collection, or nowhere. → Copy the file into the collection. Nothing
    outside is ever read.
file-too-large: A record file is over 4 MB, or a year of the ledger over 64 MB. → Split it. Photos belong into
    photos/.
too-many-files: There are over 20,000 record files. → Put several records into one .yaml file.
too-many-records: One file holds over 50,000 records. → Split it.
not-utf8: A file is not UTF-8 text. → Save it again with the encoding UTF-8.
empty-file: A file holds nothing at all, or nothing but comments where a record has to stand. → Write one, or delete the file.
stray-file (warning): A file or folder lies where records belong, but counts for nothing. → Rename it (.md or .yaml)
    or move it elsewhere.

# How a record is typed

control-character: An invisible or control character stands in a file, as it is or written as a code, so that it is
    not what it looks like. → Delete it and type the word again.
comment-in-text: A comment, `<!-- ... -->`, begins in one text and ends in another, so that nobody can tell what it
    hides. → Close it in the text where it begins. A YAML comment begins with ` # `.
bidi-character: A character, as it is or written as a code, turns the direction of writing, so that the text is not
    what it looks like. → Delete it and type the word again.
no-front-matter: An .md file does not begin with a line `---`. → Put the record between two such lines.
front-matter-open: The second `---` line of an .md file is missing. → Add it below the last key.
not-yaml: A line cannot be taken apart: a bracket or quotation mark is open, a tab or indent is wrong, a `: ` too
    many. → Look at that line and the one above.
too-deep: Lists and keys are nested over 16 levels deep. → Write them flatter.
duplicate-key: A key stands twice in one record. → Keep the one that is right.
anchor: A word that begins with & would name a place. → Put the text in quotes.
alias: A word that begins with * would repeat another place. → Write it out, or put it in quotes.
tag: A word that begins with ! would be a tag. → Put the text in quotes.
merge-key: The key `<<` would merge another record in. → Write the keys out.
several-documents: A second document begins inside a file. → Keep one record or one list in a file.
text-after-hash: Text would be lost, because ` #` begins a comment. → Put the value in quotes; put a space after the #
    where a comment is meant.
comma-in-number: Inside braces a comma parts keys, so that `{price: 1,200}` means a price of 1. → Write 1200.

# Keys and values

unknown-key: A key is not known where it stands. → Take the nearest one that the message names.
missing-key: A key that a record needs is missing or empty. → Add it.
wrong-shape: A list stands where one text belongs, or the like. → Write what the message asks for.
corrected-to-the-same: A correction says that a key read before as it reads after. → Write in `was` what it said before, or
    take the correction out.
correction-not-told (warning): A correction is of a key that is private, or that does not say what the animal or clutch is, such as
    `price`; nobody is told of it. → Take it out, or keep it under `private`.
unknown-word: A value is none of the words that can stand there. → Take one of those in the message.
bad-id: An id has characters, a length or a meaning that it must not have. → Choose another.
bad-key: A word that becomes part of an address has other characters than a-z, 0-9 and -. → Rename it.
bad-date: A date cannot be read, or is not in the calendar. → Write 2024-05-18, 2024-05 or 2024.
bad-chance: A chance cannot be read, or is over 1. → Write 66% or 2/3.
bad-number: A number cannot be read, or cannot be right. → Write digits only.
bad-price: A price cannot be read. → Write 350, 350.50 or ask.
bad-short-form: A hatchling's or tally line cannot be taken apart. → Write `3 f Pastel Piebald; available 250`, or `2
    x normal` in a tally.
near-third (warning): A chance such as 66.6% looks like a third but is taken as it stands. → Write 2/3 or 66% if two
    in three is meant.
future-date (warning): A date lies in the future. It counts as written, and in public whatever was to be over by then
    is over, such as a hold; on the desk the log, a hand-over and what a buyer was told do not count until then. →
    Look at the year.

# Ids and parents

duplicate-id: An id is already taken, by an animal, a clutch or an earlier id. → Choose another.
unknown-animal: A sire or dam has no record. → Take the nearest id, or add a record for it.
name-is-id (warning): An animal or a clutch has the id of another for a name, so that pages seem to speak of that one. → Choose
    another name.
ambiguous-name: Several animals or clutches share the name that stands where an id does. → Write the id.
not-an-animal: A sire or dam is a clutch. → Name one animal of it.
parent-sex: A sire is on record as female, or a dam as male. → Correct its sex or the parent.
parent-species: A parent is of another species. → Name another parent.
parent-hatched-later: A parent hatched after its young. → Correct a date or the parent.
parent-young (warning): A parent was under half a year old. → Look at the dates: a wrong year is likely.
parent-circle: An animal is its own ancestor. → Correct one of the parents in the message.
sire-and-dam: One animal is a sire here and a dam there. → Correct one of the two.
parent-twice: A parent has an id and is also described in place. → Describe it in its own record, or leave the id out.

# Looks, claims and tests

unknown-look: A look is no name of this species. → Take the nearest name, or add it to traits/.
ambiguous-look: Looks can be read in two ways, or a name fits several lines. → Say which, or add `(line not known)`.
one-line-only: `(line not known)` stands behind a name that fits one locus. → Leave the words out.
normal-and-more: `normal` stands beside another look. → Leave one of them out.
het-is-no-look: A het is written as a look. → Write it in `claims` or `stated`.
shows-and-looks: `shows` and `looks` stand in one record. → Put every reading into `looks`.
needs-shows: `without` or `cannot_tell` stands without `shows`. → Say what was seen, or `normal`.
shown-and-without: A trait is both seen and not seen. → Keep it in one of the two.
hidden-look: A look is seen that another look hides. → Take out the one that was not seen.
impossible-look: No genotype of a locus looks like that. → Write one look of that locus.
unknown-trait: A claim or test names no trait of this species. → Take the nearest name.
ambiguous-trait: The name of a trait fits several lines. → Say which.
no-figures: A claim or test is about a trait without known inheritance. → Say it in words.
claim-needs-founder: A claim is about an animal with recorded parents, whose figures are computed. → Write `stated`,
    or move the claim to the parent that is not on record.
claim-on-shown: A claim is about a trait that the animal shows. → Leave it out.
claim-against-look (warning): A claim gives a chance to a trait that the look rules out. → Look at the animal again, and ask
    who said it: one of the two is wrong. Until then the look counts; `withdrawn` keeps a claim that was wrong.
claim-of-zero: A claim of 0% says nothing. → Leave it out.
claim-twice: One trait is claimed twice. → Keep the claim that counts.
claims-over-one: Claims at one locus exclude each other but add up to over 1. → Lower one of them.
two-copies-not-shown: `two_copies` is claimed of a trait that the animal does not show. → Claim a `chance` instead.
came-from-not-linked: `came_from` is about a trait that is not sex-linked. → Leave it out.
stated-on-founder: `stated` is about an animal without recorded parents. → Write `claims`.
test-error-too-large: A test is wrong so often that it says nothing. → Write an error under 1/2.
tests-differ (warning): Two results of one laboratory and day, for one animal and trait, say different things. → Delete the
    wrong one: the one written last counts.

# Animals

two-values: A clutch's file and a file in animals/ say different things under one key. → Keep it in one place; put
    later readings into `looks`.
dates-out-of-order: Something is dated before it can have happened. → Correct one of the dates.
left-but-for-sale: An animal that left is still for sale. → Change the status.
status-and-left (warning): The status does not fit how the animal left. → Write what holds today.
photo-name: A photo's name leads out of photos/ or is no photo. → Copy it there; write its name.
price-without-status (warning): An animal has a price but no status, so that it is not offered. → Write `status: available`, or
    take the price out.
photo-missing: A photo is not in photos/. → Put it there, or take the line out.

# Clutches

sire-chances: The chances of the sires do not add up to 1, or contradict. → Correct them.
needs-hatched: A clutch has young but no `hatched`. → Add the date.
hatched-and-ended: A clutch both hatched and ended unhatched. → Keep one.
eggs-missing: A hatched clutch does not say how many eggs there were. → Add `eggs`.
egg-count: Young, tally, unseen, went_bad and to_sort do not add up to the eggs. → Close the gap in one of the ways
    that the message names.
twin-elsewhere: A twin is not in the same clutch. → Name another young of this clutch.
twins-differ: Young of one egg have two sexes. → Correct one of them.
fatherless-sex: Young without a sire have a sex that such young cannot have. → Correct the sex, or the sire.
sire-not-in-log (warning): The log puts other males with the dam before laying, and none of the sires of her clutch. →
    Correct the sire or the log, or name every male that may have sired it.
clutch-missing (warning): An animal has the id of a hatchling, but no parents, and there is no such clutch. → Write its
    `sire` and `dam` if it hatched here, or put a lost file back; write `came: {how: bought}` if it came from elsewhere.
siblings-apart (warning): Young of one pair and one day stand in no clutch, so that what they show says nothing of their parents.
    → Write down their clutch, with `complete: no` if not all of it is on record.
incubation-odd (warning): Incubation was far from the usual. → Look at both dates.
eggs-odd (warning): A clutch has far more eggs than is usual, or more hatched than there were. → Look at the number.
clutch-twice (warning): Two clutches are of one pair and one day. → Take one of the two away, if they are one clutch.

# Traits

unknown-species: A species is neither built in nor described in traits/. → Take the nearest key.
unknown-locus: `hides` names no locus of the species. → Take the nearest key.
unknown-allele: A name is no allele or look of its locus. → Take the nearest name.
bad-trait-name: A name cannot be that of a trait or look: it has a + or means something else. → Choose another.
name-taken: A name or locus already stands elsewhere in the species. → Choose another.
combo-parts: A combo's part is no look, or two of its parts are of one locus. → Correct it.
two-copies-misplaced: Only incomplete dominant traits have a look for two copies. → Leave it out.
words-only: A trait without known inheritance has keys that need figures. → Leave them out.
crossover-over-half: A crossover is over 1/2. → Write a share up to 1/2.
background-which: A background frequency does not say of which allele. → Name the allele.

# collection.yaml

newer-format: The records are in a newer format than this version reads. → Update Clutchlight.
collection-id-missing: `collection_id` is missing. → Add the line that the message offers.
bad-collection-id: `collection_id` is no UUID. → Restore the old one.
bad-address: `web_address` is no web address. → Write https://example.org/.
password-in-address: `web_address` holds a name or password, and would be published. → Take out all before the `@`,
    and change the password if anybody saw it.
bad-currency: `currency` is no currency. → Write its three letters.
price-without-currency (warning): There are prices but no currency. → Add `currency`.

# The private side

csv-header: The first row of a table does not name its columns. → Write the names the message lists.
csv-quote: A quotation mark in a table is not closed, or stands in the middle of a cell. → Close it.
csv-cells: A row has more cells than there are columns. → Put a cell with a comma in quotation marks.
log-value: The value of a log row does not fit its event. → Write what the message asks for.
log-sex: A log row's event is not for an animal of that sex. → Correct the id, the event or the sex.
log-pair: A pairing is not one of a male and a female of one species. → Correct the id or the sex.
log-twice (warning): A log row stands twice. → Delete one if it happened once.
weight-odd (warning): A weight changed faster than a snake's can. → Look at the digits.
plan-sex: A planned pair is not a male and a female of one species. → Correct the id or the sex.
plan-twice: One male stands twice in a plan. → Leave one out.
sold-twice: An animal is handed over twice without coming back. → Correct the id, or write `returned`.
sale-mismatch (warning): A sale and the animal's own record say different things. → Correct the one that is wrong.
returned-unsold: A sale was returned but never handed over. → Add the day it left.
given-up-sold: A hold is given up and handed over at once. → Keep the one that is true; what came back is `returned`.
paid-over (warning): More was paid than agreed. → Look at both.

# What records say together

records-conflict: Records cannot all be true: without any one of those named, the others can. → Look at each line
    named: a misread look, another sire, two in one clutch (`sire: {mixed: [...]}`), stored sperm or mixed-up eggs.
    `set_aside` goes on without them.
other-male (warning): Another male may have sired a clutch, by the log or as the sire of the dam's clutch before, and could
    explain what hatched: a result that was not expected, records that cannot all be true, or a proof. → If he may be
    the sire, add him to `sire`; his chance follows from what hatched. If you know that he is not, name him in `not_by`.
not-by-sire: A male stands in `not_by` of a clutch of which he is a sire. → Keep him in `sire`, or in `not_by`.
test-against-look (warning): A test that may be wrong found a number of copies that the look rules out. → Look at the
    animal again, and at the sheet of the test: one of the two is wrong. Until then the look counts.

# The ledger

ledger-broken: A line of the ledger cannot be read, stands twice, or is missing from the middle. → Put the file back
    from a copy that is older than the change. The ledger is never written by hand.
ledger-reordered: Lines of the ledger were moved. → Put the file back from a copy that is older than the change.
ledger-edited: A line of the ledger was changed after it was written. → Put the file back from a copy. A record that
    was wrong is corrected in the records and stamped anew.
ledger-truncated: The end of a year's file was cut off. → Put the file back from a copy that is older than the change.
dated-and-gone (warning): Dated records are of an animal that has no record any more. → If it has another id now, write the old one
    under `was`; if not, put its record back, with `publish: no` where it should not be shown.
dated-trait-gone (warning): Dated records speak of a trait that no trait file describes. → If it has another name now, keep the
    old one under `also_called`; if you gave it up, tell the buyers on the desk and `stamp`.
ledger-year: A year of the ledger does not go on from the year before, or holds a record of another year. → Put the
    missing or changed file back from a copy.

# Commands that write

cannot-write: A file cannot be written; nothing was changed. → See what the message says of it.
cannot-use: A file, or the place that output is sent to, cannot be used. → Look at its permissions and at the room
    left there.
out-of-memory: The computer, or the limit set for the program, has no memory left for it. → Close other programs, or
    raise the limit.
log-absent (warning): A new row is of an animal that is gone, not yet here, or in quarantine or treatment when it is
    paired, held or sold; or one that left has later rows; or one that just came is paired, and had no
    quarantine. → Look at the animal and the day; `--yes` writes it all the same.
planned-too (warning): An animal that is to be held for somebody is in a plan that is open. → Look at the animal, or
    take it out of the plan; `--yes` writes it all the same.
about-to-lay (warning): A female that is to be held for somebody, sold or lent forms eggs, by the log. → Look at the
    animal, or wait until she has laid; `--yes` writes it all the same.
not-ready (warning): A hatchling that is to be handed over has not yet shed and fed as its species file asks, by the log. →
    Log what is not written yet, or wait; `--yes` writes it all the same.
log-wide (warning): A range of ids names many animals at once. → Look at its numbers; `--yes` writes a row for each.
note-line: A line of notes is not understood; it was left, and the others were taken. → Write an animal and what
    happened, and hand the notes over again.
note-day: A day in notes is none, or may be two; the lines below it wait. → Write it as 2026-11-12, or say in
    collection.yaml what comes first.
note-undated (warning): An entry of notes has no date, and the log says the same of a day before. → Write the date above
    it if it happened again.
unknown-clutch: There is no clutch with that id. → Take the nearest id.
not-a-sheet: A file to take in holds no list that can be read. → Save it as .xlsx, .ods or .csv, and name a column for
    the animal.
not-a-statement: A file to take in is no statement.json. → Ask its sender for that file.
two-copies-left-out (warning): A statement gives a chance to two copies of a trait that its animal does not show, and a
    claim is of one copy. → Leave what stands under `impressions`, so that readers learn of it.
clutch-to-sort: A clutch has hatchlings whose looks were not read yet, so its statements are not ready to be dated. →
    Write down their looks, then stamp.
stamp-earlier: Statements would be dated before the last dated record. → Stamp with the day of the last record or a
    later one.
inside-program: A new collection would be written into the folder of the program itself. → Name a folder outside it.
folder-taken: A new collection would be written into a folder in use. → Name another folder.
port-taken: Another program uses the port. → Choose another with --port.

# Before the site goes public

not-ready-to-publish: Something is missing without which a site should not be public; `check --publish` tells it. →
    Add what the message names.
better-before-publishing (warning): Something is missing that readers of the site would look for; `check --publish`
    tells it. → Add it where you can.

# Building

theme: A theme cannot be used. → Look at what the message says of it, or choose another.
theme-outside: A theme links to, runs or loads what lies outside of it. → Copy it into the theme, or leave it out.
    Scripts come with the program only.
theme-endless: A template of a theme repeats or prints more than any page holds. → Look for a loop that is too long,
    or a macro that calls itself.
photo-unreadable: A photo in photos/ is no picture, or has over 60 MB or 80 million pixels. → Save it as JPEG or PNG,
    smaller.
link-nowhere (warning): A link or picture in prose leads to nothing on the site. → Write the id of an animal or clutch
    that has a page, a page of your own, another page's address on the site, a photo's name, or a whole web address.
out-foreign: The folder for the site holds what this tool did not make. → Choose another.
out-and-desk: The folders for the site and the desk lie inside each other. → Choose another.
out-in-records: The folder for the site lies among the records. → Choose another.
busy: Another build is writing into this folder. → Wait for it to end.
out-unwritable: The folder for the site cannot be written. → Look at its permissions.

# Questions about a pairing

same-sex-pair: Two animals of one sex are named as a pair. → Name a male and a female.
two-species-pair: Two animals of different species are named as a pair. → Name two of one.
same-male-twice: The backup is the male that is there already. → Name another male.
young-out-of-range: A clutch has no hatchling, or more than any snake's. → Ask about 1 to 100.
too-much-doubt: Doubts about sires make loci hang together in too many ways. → Name the sire of a clutch in doubt, or
    test one of the two animals.
not-computed: The exact figure would need tables over the limit. → Test one of the animals named.
too-many-looks (warning): The young of a pairing can look in too many ways to list. → Nothing: what the clutch would
    prove is given all the same.
"""
_ENTRY = re.compile(r"(?P<name>[a-z0-9-]+)(?P<warning> \(warning\))?: (?P<wrong>.*) → (?P<remedy>.*)")


def _codes() -> Iterator[Code]:
    about = ""
    for block in re.split(r"\n+(?=\S)", _TABLE.strip()):
        if block.startswith("# "):
            about = block.removeprefix("# ")
        elif found := _ENTRY.fullmatch(" ".join(block.split())):
            level: Level = "warning" if found["warning"] else "error"
            yield Code(found["name"], about, found["wrong"], found["remedy"], level)


CODES: Mapping[str, Code] = MappingProxyType({code.name: code for code in _codes()})

OF_WHAT_WAS_TYPED = frozenset(
    {
        "no-collection",
        "out-foreign",
        "out-and-desk",
        "out-in-records",
        "folder-taken",
        "inside-program",
        "stamp-earlier",
    }
)
"""Codes of problems that are told of a file or folder, and mended on the command line: another folder or day is named."""
