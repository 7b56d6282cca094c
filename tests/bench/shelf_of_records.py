"""A shelf of many records: verified, indexed and asked, against stock tools and plain reading.

    python tests/bench/shelf_of_records.py [RECORDS [VERIFIED]]      default: 10000, and a fifth of them

Makes RECORDS distinct records of two signatures each (about 0.1 MB apiece) in a folder that is thrown away
afterwards, then prints, each with its ratio:

- verifying VERIFIED of them with a shell loop of `ssh-keygen -Y verify` over the same files (the last
  signature of each; left out where OpenSSH is missing), and with `station shelf check` in a process of its
  own: on one core with the content remembered in the index, on two, and with the content gone through again;
- the index of a tenth, a half and all of them made afresh, against `tomllib` reading the same files and
  nothing else, with the peak of memory of each; where they are few, less of all this;
- questions of the index.

Processor time is that of a process and its children, and says more than the clock where a machine is shared.
"""

import io
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stdout
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "shelf"))

from made_records import DIVERS, PEOPLE, Maker, varied
from timing import MS, line, median_s

from station.cli import main as station
from station.folder import Folder
from station.record.signed import split
from station.record.sshsig import NAMESPACE
from station.shelf.earlier import signers_of
from station.shelf.index import NAME
from station.shelf.query import Query
from station.shelf.shelf import Shelf
from station.shipped import shipped

FEW = 100
"""Below it the start of a process is all there is to measure, and only whether everything runs is tried."""
LOOP = r"""
for F in "$@"; do
  tail -n 9 "$F" | LC_ALL=C sed -n '3,8p' > "$SIG"
  head -n $(($(wc -l < "$F") - 9)) "$F" |
    ssh-keygen -Y verify -f "$LIST" -I "$WHO" -n "$SPACE" -s "$SIG" > /dev/null || exit 1
done
"""


@dataclass(frozen=True)
class Took:
    """Seconds by the clock and of the processor, and the peak of memory in MB."""

    clock_s: float
    cpu_s: float
    peak_mb: float


def ran(command: list[str], **environment: str) -> Took:
    """Run a command to its end, from a process between that has no other children."""
    between = (
        "import resource, subprocess, sys, time; begun = time.perf_counter(); "
        "subprocess.run(sys.argv[1:], check=True, stdout=-3); clock = time.perf_counter() - begun; "
        "used = resource.getrusage(resource.RUSAGE_CHILDREN); "
        "print(clock, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)"
    )
    run = subprocess.run(
        [sys.executable, "-c", between, *command],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, **environment},
    )
    return Took(*map(float, run.stdout.split()))


def maker() -> Maker:
    """Play the short drill, and make records out of its record."""
    with tempfile.TemporaryDirectory() as folder, redirect_stdout(io.StringIO()):
        scenario = shipped("demo") / "ossary-dam" / "rack-look-over.toml"
        station(["drill", str(scenario), "--no-screen", "--folder", folder])
        (record,) = Path(folder).rglob("records/*.toml")
        return Maker.of(record.read_bytes())


@contextmanager
def folder_of(count: int, made_by: Maker) -> Iterator[Folder]:
    """Yield a station's folder with so many records in it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Folder(Path(name)).prepare()
        folder.allowed_signers.write_text(made_by.list_of_signers(), encoding="utf-8")
        for number in range(count):
            made_by.put(folder.records, varied(number, divers=40))
        yield folder


def part_of(folder: Folder, count: int, where: Path) -> Folder:
    """Return another folder with the first so many of the records, linked."""
    part = Folder(where / f"part-{count}").prepare()
    shutil.copy(folder.allowed_signers, part.allowed_signers)
    for path in sorted(folder.records.glob("[!.]*"))[:count]:
        (part.records / path.name).hardlink_to(path)
    return part


def command(folder: Folder, *words: str) -> list[str]:
    return [sys.executable, "-m", "station", "shelf", *words, "--folder", str(folder.path)]


def told(name: str, took: Took, each: int, against: Took | None = None) -> None:
    """Print a run: per file by the clock and of the processor, and how many times less than another."""
    ratio = ""
    if against is not None:
        clock, cpu = against.clock_s / took.clock_s, against.cpu_s / took.cpu_s
        ratio = f"   {clock:6.2f} x faster, {cpu:6.2f} x less processor time"
    print(f"{name:<46} {took.clock_s / each * MS:8.3f} ms   cpu {took.cpu_s / each * MS:8.3f} ms{ratio}")


def verifying(folder: Folder, count: int) -> None:
    """Hold our check of a shelf against a loop over stock tools."""
    print(f"Verifying {count} records, per record")
    ran(command(folder, "find", "--unsound"))
    loop = None
    if shutil.which("ssh-keygen"):
        loop = ran(
            ["sh", "-c", LOOP, "loop", *map(str, sorted(folder.records.glob("[!.]*.toml")))],
            SIG=str(folder.path / "sig"),
            LIST=str(folder.allowed_signers),
            WHO=f"{PEOPLE['supervisor']}:supervisor",
            SPACE=NAMESPACE,
        )
        told("loop of ssh-keygen, last signature", loop, count)
    one = ran(command(folder, "check", "--jobs", "1"))
    told("shelf check, both signatures, 1 process", one, count, loop)
    if count < FEW:
        return
    two = ran(command(folder, "check", "--jobs", "2"))
    told("shelf check, both signatures, 2 processes", two, count, one)
    whole = ran(command(folder, "check", "--whole", "--jobs", "1"))
    told("shelf check --whole, 1 process", whole, count, loop)
    told(
        "shelf check --whole, 2 processes",
        ran(command(folder, "check", "--whole", "--jobs", "2")),
        count,
        whole,
    )


READING = """
import sys, tomllib, pathlib
from station.record.signed import split
for path in sorted(pathlib.Path(sys.argv[1]).glob("[!.]*.toml")):
    tomllib.loads(split(path.read_bytes()).body.decode())
"""


def indexing(folder: Folder, count: int) -> None:
    """Hold the making of the index of a shelf that grows against plain reading of the same files."""
    with tempfile.TemporaryDirectory(dir=folder.path) as name:
        for some in (count // 10, count // 2, count) if count >= FEW else (count,):
            part = part_of(folder, some, Path(name)) if some < count else folder
            print(f"Index of {some} records made afresh, per record")
            plain = ran([sys.executable, "-c", READING, str(part.records)])
            told("tomllib alone, 1 process", plain, some)
            took = ran(command(part, "rebuild", "--jobs", "1"))
            told("shelf rebuild, 1 process", took, some, plain)
            if some < FEW:
                continue
            two = ran(command(part, "rebuild", "--jobs", "2"))
            told("shelf rebuild, 2 processes", two, some, plain)
            size = (part.records / NAME).stat().st_size
            print(f"peak of memory {took.peak_mb:.1f} MB; the index {size / some:.0f} bytes a record")
            ran(command(part, "find", "--unsound"))
            found = ran(command(part, "find", "--unsound"))
            told("nothing changed: shelf find, all in all", found, 1)


def asking(folder: Folder, count: int) -> None:
    """Time questions of an open shelf."""
    print(f"Questions at {count} records")
    with Shelf.open(folder.records, signers_of(folder), tell=print) as shelf:
        middle = varied(count // 2).started
        questions: dict[str, Callable[[], object]] = {
            "one diver's dives": lambda: shelf.find(Query(diver=DIVERS[1][1])),
            "a month": lambda: shelf.find(
                Query(since=middle.date(), until=(middle + timedelta(days=30)).date())
            ),
            "place and depth in a year": lambda: shelf.find(
                Query(
                    place="velloch",
                    deeper_fsw=100,
                    since=middle.date(),
                    until=(middle + timedelta(days=365)).date(),
                )
            ),
            "all that is not sound": lambda: shelf.find(Query(unsound=True)),
            "bring the index up to date": shelf.refresh,
        }
        first = 0.0
        for name, ask in questions.items():
            took = median_s(ask, 9)
            first = first or took
            line(name, took, against_s=first, of="the first")


def main(count: int, verified: int) -> None:
    """Run it all."""
    with folder_of(count, maker()) as folder, tempfile.TemporaryDirectory(dir=folder.path) as name:
        sample = next(folder.records.glob("*.toml")).read_bytes()
        tomllib.loads(split(sample).body.decode())
        print(f"records of {len(sample)} bytes; ssh-keygen: {shutil.which('ssh-keygen') or 'missing'}")
        verifying(part_of(folder, verified, Path(name)), verified)
        indexing(folder, count)
        asking(folder, count)


if __name__ == "__main__":
    words = sys.argv[1:] or ["10000"]
    main(int(words[0]), int(words[1]) if words[1:] else int(words[0]) // 5)
