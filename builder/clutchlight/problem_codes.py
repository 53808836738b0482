"""Every code that a problem can have: how serious it is, what is wrong, and what to do. The one list of them.

The program may use no code that is missing here, and a test holds this list against the codes in the program and against
the bad collections in `tests/bad/`, one for each code that records can have. The reference takes them from here.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from clutchlight.problems import Level


class Code(NamedTuple):
    """A documented code. `about` is the heading it stands under."""

    name: str
    about: str
    wrong: str
    remedy: str
    level: Level = "error"


_FILES = "Files"
_TEXT = "How a record is typed"
_KEYS = "Keys and values"
_IDS = "Ids and parents"
_LOOKS = "Looks, claims and tests"
_ANIMALS = "Animals"
_CLUTCHES = "Clutches"
_TRAITS = "Traits"
_SETTINGS = "collection.yaml"
_PRIVATE = "The private side"
_LEDGER = "The ledger"
_TOGETHER = "What records say together"
BUILDING = "Building"
COMMANDS = "Commands that write"
ASKING = "Questions about a pairing"

_ALL = (
    # ---- files
    Code("no-collection", _FILES, "The folder has no collection.yaml.", "Name your collection's folder, or start one."),
    Code(
        "cannot-read", _FILES, "A file or folder cannot be opened, or is no ordinary file.", "Look at its permissions."
    ),
    Code(
        "outside-collection",
        _FILES,
        "A link leads out of the collection, or nowhere.",
        "Copy the file into the collection. Nothing outside is ever read.",
    ),
    Code(
        "file-too-large",
        _FILES,
        "A record file is over 4 MB, or a year of the ledger over 64 MB.",
        "Split it. Photos belong into photos/.",
    ),
    Code("too-many-files", _FILES, "There are over 20,000 record files.", "Put several records into one .yaml file."),
    Code("too-many-records", _FILES, "One file holds over 50,000 records.", "Split it."),
    Code("not-utf8", _FILES, "A file is not UTF-8 text.", "Save it again with the encoding UTF-8."),
    Code("empty-file", _FILES, "A file holds no record.", "Write one, or delete the file."),
    Code(
        "stray-file",
        _FILES,
        "A file or folder lies where records belong, but counts for nothing.",
        "Rename it (.md or .yaml) or move it elsewhere.",
        "warning",
    ),
    # ---- text
    Code(
        "control-character",
        _TEXT,
        "An invisible or control character stands in a file, as it is or written as a code, so that it is not what it looks like.",
        "Delete it and type the word again.",
    ),
    Code(
        "comment-in-text",
        _TEXT,
        "A comment, `<!-- ... -->`, begins in one text and ends in another, so that nobody can tell what it hides.",
        "Close it in the text where it begins. A YAML comment begins with ` # `.",
    ),
    Code(
        "bidi-character",
        _TEXT,
        "A character, as it is or written as a code, turns the direction of writing, so that the text is not what it looks like.",
        "Delete it and type the word again.",
    ),
    Code(
        "no-front-matter",
        _TEXT,
        "An .md file does not begin with a line `---`.",
        "Put the record between two such lines.",
    ),
    Code("front-matter-open", _TEXT, "The second `---` line of an .md file is missing.", "Add it below the last key."),
    Code(
        "not-yaml",
        _TEXT,
        "A line cannot be taken apart: a bracket or quotation mark is open, a tab or indent is wrong, a `: ` too many.",
        "Look at that line and the one above.",
    ),
    Code("too-deep", _TEXT, "Lists and keys are nested over 16 levels deep.", "Write them flatter."),
    Code("duplicate-key", _TEXT, "A key stands twice in one record.", "Keep the one that is right."),
    Code("anchor", _TEXT, "A word that begins with & would name a place.", "Put the text in quotes."),
    Code("alias", _TEXT, "A word that begins with * would repeat another place.", "Write it out, or put it in quotes."),
    Code("tag", _TEXT, "A word that begins with ! would be a tag.", "Put the text in quotes."),
    Code("merge-key", _TEXT, "The key `<<` would merge another record in.", "Write the keys out."),
    Code(
        "several-documents", _TEXT, "A second document begins inside a file.", "Keep one record or one list in a file."
    ),
    Code(
        "text-after-hash",
        _TEXT,
        "Text would be lost, because ` #` begins a comment.",
        "Put the value in quotes; put a space after the # where a comment is meant.",
    ),
    Code(
        "comma-in-number",
        _TEXT,
        "Inside braces a comma parts keys, so that `{price: 1,200}` means a price of 1.",
        "Write 1200.",
    ),
    # ---- keys and values
    Code("unknown-key", _KEYS, "A key is not known where it stands.", "Take the nearest one that the message names."),
    Code("missing-key", _KEYS, "A key that a record needs is missing or empty.", "Add it."),
    Code(
        "wrong-shape", _KEYS, "A list stands where one text belongs, or the like.", "Write what the message asks for."
    ),
    Code(
        "unknown-word", _KEYS, "A value is none of the words that can stand there.", "Take one of those in the message."
    ),
    Code("bad-id", _KEYS, "An id has characters, a length or a meaning that it must not have.", "Choose another."),
    Code(
        "bad-key",
        _KEYS,
        "A word that becomes part of an address has other characters than a-z, 0-9 and -.",
        "Rename it.",
    ),
    Code("bad-date", _KEYS, "A date cannot be read, or is not in the calendar.", "Write 2024-05-18, 2024-05 or 2024."),
    Code("bad-chance", _KEYS, "A chance cannot be read, or is over 1.", "Write 66% or 2/3."),
    Code("bad-number", _KEYS, "A number cannot be read, or cannot be right.", "Write digits only."),
    Code("bad-price", _KEYS, "A price cannot be read.", "Write 350, 350.50 or ask."),
    Code(
        "bad-short-form",
        _KEYS,
        "A hatchling's or tally line cannot be taken apart.",
        "Write `3 f Pastel Piebald; available 250`, or `2 x normal` in a tally.",
    ),
    Code(
        "near-third",
        _KEYS,
        "A chance such as 66.6% looks like a third but is taken as it stands.",
        "Write 2/3 or 66% if two in three is meant.",
        "warning",
    ),
    Code("future-date", _KEYS, "A date lies in the future. It counts as written.", "Look at the year.", "warning"),
    # ---- ids and parents
    Code("duplicate-id", _IDS, "An id is already taken, by an animal, a clutch or an earlier id.", "Choose another."),
    Code("unknown-animal", _IDS, "A sire or dam has no record.", "Take the nearest id, or add a record for it."),
    Code("not-an-animal", _IDS, "A sire or dam is a clutch.", "Name one animal of it."),
    Code("parent-sex", _IDS, "A sire is on record as female, or a dam as male.", "Correct its sex or the parent."),
    Code("parent-species", _IDS, "A parent is of another species.", "Name another parent."),
    Code("parent-hatched-later", _IDS, "A parent hatched after its young.", "Correct a date or the parent."),
    Code(
        "parent-young",
        _IDS,
        "A parent was under half a year old.",
        "Look at the dates: a wrong year is likely.",
        "warning",
    ),
    Code("parent-circle", _IDS, "An animal is its own ancestor.", "Correct one of the parents in the message."),
    Code("sire-and-dam", _IDS, "One animal is a sire here and a dam there.", "Correct one of the two."),
    Code(
        "parent-twice",
        _IDS,
        "A parent has an id and is also described in place.",
        "Describe it in its own record, or leave the id out.",
    ),
    # ---- looks, claims, tests
    Code("unknown-look", _LOOKS, "A look is no name of this species.", "Take the nearest name, or add it to traits/."),
    Code(
        "ambiguous-look",
        _LOOKS,
        "Looks can be read in two ways, or a name fits several lines.",
        "Say which, or add `(line not known)`.",
    ),
    Code(
        "one-line-only", _LOOKS, "`(line not known)` stands behind a name that fits one locus.", "Leave the words out."
    ),
    Code("normal-and-more", _LOOKS, "`normal` stands beside another look.", "Leave one of them out."),
    Code("het-is-no-look", _LOOKS, "A het is written as a look.", "Write it in `claims` or `stated`."),
    Code("shows-and-looks", _LOOKS, "`shows` and `looks` stand in one record.", "Put every reading into `looks`."),
    Code(
        "needs-shows", _LOOKS, "`without` or `cannot_tell` stands without `shows`.", "Say what was seen, or `normal`."
    ),
    Code("shown-and-without", _LOOKS, "A trait is both seen and not seen.", "Keep it in one of the two."),
    Code("hidden-look", _LOOKS, "A look is seen that another look hides.", "Take out the one that was not seen."),
    Code("impossible-look", _LOOKS, "No genotype of a locus looks like that.", "Write one look of that locus."),
    Code("unknown-trait", _LOOKS, "A claim or test names no trait of this species.", "Take the nearest name."),
    Code("ambiguous-trait", _LOOKS, "The name of a trait fits several lines.", "Say which."),
    Code("no-figures", _LOOKS, "A claim or test is about a trait without known inheritance.", "Say it in words."),
    Code(
        "claim-needs-founder",
        _LOOKS,
        "A claim is about an animal with recorded parents, whose figures are computed.",
        "Write `stated`, or move the claim to the parent that is not on record.",
    ),
    Code("claim-on-shown", _LOOKS, "A claim is about a trait that the animal shows.", "Leave it out."),
    Code("claim-of-zero", _LOOKS, "A claim of 0% says nothing.", "Leave it out."),
    Code("claim-twice", _LOOKS, "One trait is claimed twice.", "Keep the claim that counts."),
    Code(
        "claims-over-one", _LOOKS, "Claims at one locus exclude each other but add up to over 1.", "Lower one of them."
    ),
    Code(
        "two-copies-not-shown",
        _LOOKS,
        "`two_copies` is claimed of a trait that the animal does not show.",
        "Claim a `chance` instead.",
    ),
    Code("came-from-not-linked", _LOOKS, "`came_from` is about a trait that is not sex-linked.", "Leave it out."),
    Code("stated-on-founder", _LOOKS, "`stated` is about an animal without recorded parents.", "Write `claims`."),
    Code("test-error-too-large", _LOOKS, "A test is wrong so often that it says nothing.", "Write an error under 2/3."),
    # ---- animals
    Code(
        "two-values",
        _ANIMALS,
        "A clutch's file and a file in animals/ say different things under one key.",
        "Keep it in one place; put later readings into `looks`.",
    ),
    Code(
        "dates-out-of-order", _ANIMALS, "Something is dated before it can have happened.", "Correct one of the dates."
    ),
    Code("left-but-for-sale", _ANIMALS, "An animal that left is still for sale.", "Change the status."),
    Code(
        "status-and-left",
        _ANIMALS,
        "The status does not fit how the animal left.",
        "Write what holds today.",
        "warning",
    ),
    Code(
        "photo-name", _ANIMALS, "A photo's name leads out of photos/ or is no photo.", "Copy it there; write its name."
    ),
    Code("photo-missing", _ANIMALS, "A photo is not in photos/.", "Put it there, or take the line out."),
    # ---- clutches
    Code("sire-chances", _CLUTCHES, "The chances of the sires do not add up to 1, or contradict.", "Correct them."),
    Code("needs-hatched", _CLUTCHES, "A clutch has young but no `hatched`.", "Add the date."),
    Code("hatched-and-ended", _CLUTCHES, "A clutch both hatched and ended unhatched.", "Keep one."),
    Code("eggs-missing", _CLUTCHES, "A hatched clutch does not say how many eggs there were.", "Add `eggs`."),
    Code(
        "egg-count",
        _CLUTCHES,
        "Young, tally, unseen, went_bad and to_sort do not add up to the eggs.",
        "Close the gap in one of the ways that the message names.",
    ),
    Code("twin-elsewhere", _CLUTCHES, "A twin is not in the same clutch.", "Name another young of this clutch."),
    Code("twins-differ", _CLUTCHES, "Young of one egg have two sexes.", "Correct one of them."),
    Code(
        "fatherless-sex",
        _CLUTCHES,
        "Young without a sire have a sex that such young cannot have.",
        "Correct the sex, or the sire.",
    ),
    Code(
        "sire-not-in-log",
        _CLUTCHES,
        "The log puts other males with the dam before laying, and none of the sires of her clutch.",
        "Correct the sire or the log, or name every male that may have sired it.",
        "warning",
    ),
    Code(
        "clutch-missing",
        _CLUTCHES,
        "An animal has the id of a hatchling, but no parents, and there is no such clutch.",
        "Put the clutch's file back, or say with `came` where the animal is from.",
        "warning",
    ),
    Code("incubation-odd", _CLUTCHES, "Incubation was far from the usual.", "Look at both dates.", "warning"),
    # ---- traits
    Code(
        "unknown-species", _TRAITS, "A species is neither built in nor described in traits/.", "Take the nearest key."
    ),
    Code("unknown-locus", _TRAITS, "`hides` names no locus of the species.", "Take the nearest key."),
    Code("unknown-allele", _TRAITS, "A name is no allele or look of its locus.", "Take the nearest name."),
    Code(
        "bad-trait-name", _TRAITS, "A name cannot be a trait's: it has a + or means something else.", "Choose another."
    ),
    Code("name-taken", _TRAITS, "A name or locus already stands elsewhere in the species.", "Choose another."),
    Code("combo-parts", _TRAITS, "A combo's part is no look, or two of its parts are of one locus.", "Correct it."),
    Code(
        "two-copies-misplaced", _TRAITS, "Only incomplete dominant traits have a look for two copies.", "Leave it out."
    ),
    Code("words-only", _TRAITS, "A trait without known inheritance has keys that need figures.", "Leave them out."),
    Code("crossover-over-half", _TRAITS, "A crossover is over 1/2.", "Write a share up to 1/2."),
    Code("background-which", _TRAITS, "A background frequency does not say of which allele.", "Name the allele."),
    # ---- collection.yaml
    Code(
        "newer-format", _SETTINGS, "The records are in a newer format than this version reads.", "Update Clutchlight."
    ),
    Code("collection-id-missing", _SETTINGS, "`collection_id` is missing.", "Add the line that the message offers."),
    Code("bad-collection-id", _SETTINGS, "`collection_id` is no UUID.", "Restore the old one."),
    Code("bad-address", _SETTINGS, "`web_address` is no web address.", "Write https://example.org/."),
    Code(
        "password-in-address",
        _SETTINGS,
        "`web_address` holds a name or password, and would be published.",
        "Take out all before the `@`, and change the password if anybody saw it.",
    ),
    Code("bad-currency", _SETTINGS, "`currency` is no currency.", "Write its three letters."),
    Code("price-without-currency", _SETTINGS, "There are prices but no currency.", "Add `currency`.", "warning"),
    # ---- the private side
    Code(
        "csv-header",
        _PRIVATE,
        "The first row of a table does not name its columns.",
        "Write the names the message lists.",
    ),
    Code(
        "csv-quote",
        _PRIVATE,
        "A quotation mark in a table is not closed, or stands in the middle of a cell.",
        "Close it.",
    ),
    Code(
        "csv-cells",
        _PRIVATE,
        "A row has more cells than there are columns.",
        "Put a cell with a comma in quotation marks.",
    ),
    Code("log-value", _PRIVATE, "The value of a log row does not fit its event.", "Write what the message asks for."),
    Code(
        "log-sex",
        _PRIVATE,
        "A log row's event is not for an animal of that sex.",
        "Correct the id, the event or the sex.",
    ),
    Code(
        "log-pair",
        _PRIVATE,
        "A pairing is not one of a male and a female of one species.",
        "Correct the id or the sex.",
    ),
    Code("log-twice", _PRIVATE, "A log row stands twice.", "Delete one if it happened once.", "warning"),
    Code("weight-odd", _PRIVATE, "A weight changed faster than a snake's can.", "Look at the digits.", "warning"),
    Code(
        "plan-sex", _PRIVATE, "A planned pair is not a male and a female of one species.", "Correct the id or the sex."
    ),
    Code("plan-twice", _PRIVATE, "One male stands twice in a plan.", "Leave one out."),
    Code(
        "sold-twice",
        _PRIVATE,
        "An animal is handed over twice without coming back.",
        "Correct the id, or write `returned`.",
    ),
    Code("returned-unsold", _PRIVATE, "A sale was returned but never handed over.", "Add the day it left."),
    Code("paid-over", _PRIVATE, "More was paid than agreed.", "Look at both.", "warning"),
    # ---- what records say together
    Code(
        "records-conflict",
        _TOGETHER,
        "Records cannot all be true: without any one of those named, the others can.",
        "Look at each line named: a misread look, another sire, stored sperm or mixed-up eggs. `set_aside` goes on without them.",
    ),
    Code(
        "test-needs-chance",
        _TOGETHER,
        "A test that may be wrong was made on an animal whose chance is nothing without it.",
        "Write the claim or the background that gives it a chance, or take the test out.",
    ),
    # ---- the ledger
    Code(
        "ledger-broken",
        _LEDGER,
        "A line of the ledger cannot be read, stands twice, or is missing from the middle.",
        "Put the file back from a copy that is older than the change. The ledger is never written by hand.",
    ),
    Code(
        "ledger-reordered",
        _LEDGER,
        "Lines of the ledger were moved.",
        "Put the file back from a copy that is older than the change.",
    ),
    Code(
        "ledger-edited",
        _LEDGER,
        "A line of the ledger was changed after it was written.",
        "Put the file back from a copy. A record that was wrong is corrected in the records and stamped anew.",
    ),
    Code(
        "ledger-truncated",
        _LEDGER,
        "The end of a year's file was cut off.",
        "Put the file back from a copy that is older than the change.",
    ),
    Code(
        "ledger-year",
        _LEDGER,
        "A year of the ledger does not go on from the year before, or holds a record of another year.",
        "Put the missing or changed file back from a copy.",
    ),
    # ---- commands
    Code(
        "cannot-write", COMMANDS, "A file cannot be written; nothing was changed.", "See what the message says of it."
    ),
    Code(
        "cannot-use",
        COMMANDS,
        "A file, or the place that output is sent to, cannot be used.",
        "Look at its permissions and at the room left there.",
    ),
    Code(
        "out-of-memory",
        COMMANDS,
        "The computer, or the limit set for the program, has no memory left for it.",
        "Close other programs, or raise the limit.",
    ),
    Code("unknown-clutch", COMMANDS, "There is no clutch with that id.", "Take the nearest id."),
    Code(
        "price-without-status",
        COMMANDS,
        "A row to take in has a price but no status, so that it would not be offered.",
        "Write available in a column `status`.",
        "warning",
    ),
    Code(
        "sire-in-doubt",
        COMMANDS,
        "A row to take in names several males as the sire, for which an animal's record has no place.",
        "Take its clutch in first, or write the clutch down; the row keeps them as a private note.",
        "warning",
    ),
    Code("not-a-statement", COMMANDS, "A file to take in is no statement.json.", "Ask its sender for that file."),
    Code(
        "clutch-to-sort",
        COMMANDS,
        "A clutch has hatchlings whose looks were not read yet, so its statements are not ready to be dated.",
        "Write down their looks, then stamp.",
    ),
    Code(
        "stamp-earlier",
        COMMANDS,
        "Statements would be dated before the last dated record.",
        "Stamp with the day of the last record or a later one.",
    ),
    Code("folder-taken", COMMANDS, "A new collection would be written into a folder in use.", "Name another folder."),
    # ---- building
    Code("theme", BUILDING, "A theme cannot be used.", "Look at what the message says of it, or choose another."),
    Code(
        "theme-outside",
        BUILDING,
        "A theme links to, runs or loads what lies outside of it.",
        "Copy it into the theme, or leave it out. Scripts come with the program only.",
    ),
    Code(
        "theme-endless",
        BUILDING,
        "A template of a theme repeats or prints more than any page holds.",
        "Look for a loop that is too long, or a macro that calls itself.",
    ),
    Code(
        "photo-unreadable",
        BUILDING,
        "A photo in photos/ is no picture, or has over 60 MB or 80 million pixels.",
        "Save it as JPEG or PNG, smaller.",
    ),
    Code(
        "link-nowhere",
        BUILDING,
        "A link or picture in prose leads to nothing on the site.",
        "Write the id of an animal or clutch that has a page, a page of your own, a photo's name, or a whole web address.",
        "warning",
    ),
    Code("out-foreign", BUILDING, "The folder for the site holds what this tool did not make.", "Choose another."),
    Code("out-and-desk", BUILDING, "The folders for the site and the desk lie inside each other.", "Choose another."),
    Code("out-in-records", BUILDING, "The folder for the site lies among the records.", "Choose another."),
    Code("busy", BUILDING, "Another build is writing into this folder.", "Wait for it to end."),
    Code("out-unwritable", BUILDING, "The folder for the site cannot be written.", "Look at its permissions."),
    # ---- questions about a pairing
    Code("same-sex-pair", ASKING, "Two animals of one sex are named as a pair.", "Name a male and a female."),
    Code("two-species-pair", ASKING, "Two animals of different species are named as a pair.", "Name two of one."),
    Code("same-male-twice", ASKING, "The backup is the male that is there already.", "Name another male."),
    Code("young-out-of-range", ASKING, "A clutch has no hatchling, or more than any snake's.", "Ask about 1 to 100."),
    Code(
        "too-much-doubt",
        ASKING,
        "Doubts about sires make loci hang together in too many ways.",
        "Name the sire of a clutch in doubt, or test one of the two animals.",
    ),
    Code(
        "not-computed", ASKING, "The exact figure would need tables over the limit.", "Test one of the animals named."
    ),
    Code("port-taken", COMMANDS, "Another program uses the port.", "Choose another with --port."),
    Code(
        "too-many-looks",
        ASKING,
        "The young of a pairing can look in too many ways to list.",
        "Nothing: what the clutch would prove is given all the same.",
        "warning",
    ),
)

CODES: Mapping[str, Code] = MappingProxyType({code.name: code for code in _ALL})

OF_WHAT_WAS_TYPED = frozenset(
    {"no-collection", "out-foreign", "out-and-desk", "out-in-records", "folder-taken", "stamp-earlier"}
)
"""Codes of problems that are told of a file or folder, and mended on the command line: another folder or day is named."""
