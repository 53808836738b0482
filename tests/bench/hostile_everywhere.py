"""Every hostile text in every free field at once, one collection for each text, in a browser without the security policy.

Claim      as `tests/site/test_hostile_strings.py`: none runs, nothing leaves the site or the desk, every file and export parses.
Measured   how many texts stood in how many places, how many places refused one, and every fault.
Run        nice python -m tests.bench.hostile_everywhere [--first 0] [--count 201]
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright
from tests.chromium import find_chromium
from tests.conftest import CHROMIUM_OPTIONS
from tests.site.hostile_room import PLACES, faults_of_data, faults_of_exports, faults_of_pages, make
from tests.site.hostile_strings import STRINGS


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--first", type=int, default=0)
    options.add_argument("--count", type=int, default=len(STRINGS))
    asked = options.parse_args()
    placed = refused = pages = 0
    faults: list[str] = []
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as home:
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=CHROMIUM_OPTIONS)
        for number, text in list(enumerate(STRINGS))[asked.first : asked.first + asked.count]:
            place = Path(home) / str(number)
            made = make(dict.fromkeys(PLACES, text), place)
            context = browser.new_context()
            found = [*faults_of_pages(made.site, context), *faults_of_pages(made.desk, context)]
            context.close()
            found += [*faults_of_data(made.site), *faults_of_exports(made.folder)]
            placed, refused = placed + len(made.placed), refused + len(made.refused)
            pages += sum(1 for folder in (made.site, made.desk) for _ in folder.rglob("*.html"))
            faults += [f"{number} {text!r}: {fault}" for fault in found]
            sys.stderr.write(f"{number}: {len(made.placed)} places, {len(found)} faults\n")
            shutil.rmtree(place)
        browser.close()
    sys.stdout.write(f"{placed} texts in places, {refused} refused there, {pages} pages opened, {len(faults)} faults\n")
    sys.stdout.write("".join(f"{fault}\n" for fault in faults))


if __name__ == "__main__":
    main()
