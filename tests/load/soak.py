"""People of every role at work for a while: no errors, no growth of memory or open files, the ledger clean.

    python tests/load/soak.py [--minutes 10] [--store sqlite|postgresql]

Prints JSON and exits 1 when something grew or failed. An hour by hand: --minutes 60.
"""

import argparse
import json
import os
import random
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.load.cut_storm import fill
from tests.load.phone import JSON, Phone, percentile
from tests.load.store import POSTGRESQL, Server, ledger_is_clean, run_for_stores, scratch_store

PEOPLE = 6
PAUSE_SECONDS = 0.05
SAMPLE_SECONDS = 2.0
MAY_GROW_SHARE, MAY_GROW_MB, MAY_GROW_FILES = 0.10, 15, 6
PAGES = {
    "laminator": ["/", "/scan/", "/rolls/", "/resins/", "/jobs/"],
    "clerk": ["/", "/receive/", "/rolls/", "/trace/", "/stock-on/", "/suppliers/"],
    "owner": ["/", "/ordering/", "/timeline/", "/people/", "/jobs/", "/stock-on/"],
}


def give_roles() -> dict[str, str]:
    from django.contrib.auth.models import Group, User

    roles = {f"writer{number}": list(PAGES)[number % 3] for number in range(PEOPLE)}
    for name, role in roles.items():
        User.objects.get(username=name).groups.set([Group.objects.get(name=role)])
    return roles


class Work(threading.Thread):
    """One person who looks at the pages of their role and cuts now and then, some cuts sent twice."""

    def __init__(self, phone: Phone, role: str, codes: list[str], over: threading.Event, seed: int):
        super().__init__()
        self.phone, self.role, self.codes, self.over = phone, role, codes, over
        self.chance = random.Random(seed)
        self.times: list[float] = []
        self.wrong: list[str] = []
        self.cuts = 0

    def run(self) -> None:
        while not self.over.is_set():
            self._cut() if self.chance.random() < 0.3 else self._look()
            time.sleep(PAUSE_SECONDS)

    def _look(self) -> None:
        page = self.chance.choice([*PAGES[self.role], f"/r/{self.chance.choice(self.codes)}"])
        status, _, ms = self.phone.timed(self.phone.get, page)
        self._note(page, status, ms, (200,))

    def _cut(self) -> None:
        form = {"key": f"{self.phone.name}-{self.cuts}", "length": "3 mm", "purpose": "soak"}
        address = f"/r/{self.chance.choice(self.codes)}/cut-without-plan/"
        for expected in ((201,), (200,))[: 2 if self.chance.random() < 0.1 else 1]:
            status, _, ms = self.phone.timed(self.phone.post, address, form, JSON)
            self._note(address, status, ms, expected)
        self.cuts += 1

    def _note(self, page: str, status: int, ms: float, expected: tuple[int, ...]) -> None:
        self.times.append(ms)
        if status not in expected:
            self.wrong.append(f"{self.role} at {page}: {status}")


def sample(pid: int) -> tuple[float, int]:
    """Resident memory in MB and open files of the web worker."""
    status = Path(f"/proc/{pid}/status").read_text()
    resident = next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS"))
    return resident / 1024, len(os.listdir(f"/proc/{pid}/fd"))


def growth(samples: list[tuple[float, int]]) -> dict:
    """The last quarter beside the second: the first is the program warming up."""
    quarter = max(1, len(samples) // 4)
    early, late = samples[quarter : 2 * quarter] or samples, samples[-quarter:]
    memory = [sum(mb for mb, _ in part) / len(part) for part in (early, late)]
    files = [max(count for _, count in part) for part in (early, late)]
    allowed = max(MAY_GROW_MB, MAY_GROW_SHARE * memory[0])
    return {
        "memory_mb": [round(mb, 1) for mb in memory],
        "open_files": files,
        "steady": memory[1] - memory[0] <= allowed and files[1] - files[0] <= MAY_GROW_FILES,
    }


def soak(store: str, postgresql: str, minutes: float, seed: int) -> dict:
    with scratch_store(store, postgresql) as folder:
        codes = fill(PEOPLE, 40_000_000)
        roles = give_roles()
        server = Server(folder, "--quiet").start()
        over = threading.Event()
        phones = {name: Phone(server.port, name).sign_in() for name in roles}
        people = [Work(phones[name], role, codes, over, seed + n) for n, (name, role) in enumerate(roles.items())]
        samples = []
        for person in people:
            person.start()
        until = time.monotonic() + minutes * 60
        while time.monotonic() < until:
            time.sleep(SAMPLE_SECONDS)
            samples.append(sample(server.process.pid))
        over.set()
        for person in people:
            person.join()
        exit_code = server.stop()
        from shopstock.models import Movement

        times = [ms for person in people for ms in person.times]
        wrong = [words for person in people for words in person.wrong]
        found = {
            "store": store,
            "minutes": minutes,
            "answers": len(times),
            "p50_ms": percentile(times, 0.5),
            "p95_ms": percentile(times, 0.95),
            "wrong": wrong[:20],
            "wrong_count": len(wrong),
            "cuts_sent": sum(person.cuts for person in people),
            "cuts_in_ledger": Movement.objects.filter(kind="cut").count(),
            **growth(samples),
            "exit": exit_code,
            "check_ledger": ledger_is_clean() or "clean",
        }
    right = not wrong and found["steady"] and found["cuts_sent"] == found["cuts_in_ledger"]
    return found | {"right": right and found["check_ledger"] == "clean" and exit_code == 0}


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--store", choices=["sqlite", "postgresql"])
    ask.add_argument("--postgresql", default=POSTGRESQL)
    ask.add_argument("--minutes", type=float, default=10)
    ask.add_argument("--seed", type=int, default=1)
    chosen = ask.parse_args()
    if chosen.store is None:
        return run_for_stores(__file__, ["sqlite", "postgresql"], sys.argv[1:])
    found = soak(chosen.store, chosen.postgresql, chosen.minutes, chosen.seed)
    print(json.dumps(found))
    return 0 if found["right"] else 1


if __name__ == "__main__":
    sys.exit(main())
