"""How fast the pages are at size: whole responses of the real server, signed in, small store beside big store.

    python tests/bench/pages.py [--short] [--store sqlite|postgresql] [--small 1000] [--big 100000] [--prepared URL]

Makes its stores with `manage.py make_big` (minutes for the big one; `--prepared` takes one that was made before and is
cut from), and prints as JSON p50 and p95 of each page, how pages of one roll grew, and the memory of the processes.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.load.phone import JSON, Phone, percentile
from tests.load.store import PASSWORD, POSTGRESQL, ROOT, Server, run_for_stores, scratch_store

MOVEMENTS_A_ROLL = 20
LINES_OF_A_ROLL = (15, 25)
MOST_MB = {"web worker": 200, "planner's worker": 600}
AIM_MS = {
    "roll page": 50, "scan page": 50, "confirm a cut": 50, "rolls, first page": 100, "rolls, filtered": 100,
    "rolls, sorted": 100, "rolls, page 3000 of all": 100, "Today": 100, "ordering": 100, "stock on a day": 100,
    "timeline": 100, "climate": 100,
}  # fmt: skip
OF_ONE_ROLL = ("roll page", "scan page", "confirm a cut")
GROWTH = 1.2


def manage(*arguments: str) -> None:
    command = [sys.executable, str(ROOT / "manage.py"), *arguments]
    subprocess.run(command, cwd=ROOT, check=True, stdout=sys.stderr)


def fill(rolls: int) -> None:
    from shopstock.models import Roll

    if not Roll.objects.exists():
        manage("make_big", "--rolls", str(rolls), "--movements", str(rolls * MOVEMENTS_A_ROLL))


def person() -> str:
    from django.contrib.auth.models import User

    owner = User.objects.get(username="big")
    owner.set_password(PASSWORD)
    owner.save()
    return owner.username


def addresses(rounds: int) -> dict[str, list[str]]:
    """For each page, the addresses that are asked for, another roll each time where there is a roll in it."""
    from shopstock.models import Reinforcement, Roll
    from shopstock.models.roll import STILL_OPEN

    # As many lines on each roll in the small store as in the big one, or the pages would not be the same pages.
    alike = Roll.objects.filter(closed_on=STILL_OPEN, line_count__range=LINES_OF_A_ROLL).order_by("lot", "pk")
    codes = list(alike.values_list("code", flat=True)[:rounds])
    material = Reinforcement.objects.order_by("pk").first().pk
    last_page = min(3000, max(1, Roll.objects.count() // 25))
    return {
        "scan page": [f"/r/{code}" for code in codes],
        "roll page": [f"/rolls/{code}/" for code in codes],
        "rolls, first page": ["/rolls/"],
        "rolls, filtered": [f"/rolls/?reinforcement={material}"],
        "rolls, sorted": ["/rolls/?sort=length_mm"],
        "rolls, page 3000 of all": [f"/rolls/?shown=all&page={last_page}"],
        "Today": ["/"],
        "ordering": ["/ordering/"],
        "stock on a day": ["/stock-on/?on=2024-05-15"],
        "timeline": ["/timeline/"],
        "climate": ["/climate/"],
    }


def measure(phone: Phone, rounds: int) -> dict[str, dict]:
    found = {}
    asked = addresses(rounds)
    for page, some in asked.items():
        times = []
        for number in range(rounds + 3):
            status, _, ms = phone.timed(phone.get, some[number % len(some)])
            if status != 200:
                raise SystemExit(f"{page}: {some[number % len(some)]} answered {status}")
            times.append(ms)
        found[page] = summary(times[3:])
    found["confirm a cut"] = summary(cuts(phone, [where.removeprefix("/r/") for where in asked["scan page"]]))
    return found


def cuts(phone: Phone, codes: list[str]) -> list[float]:
    times, stamp = [], time.time_ns()
    for number, code in enumerate(codes):
        form = {"key": f"bench-{stamp}-{number}", "length": "1 mm", "purpose": "bench"}
        status, body, ms = phone.timed(phone.post, f"/r/{code}/cut-without-plan/", form, JSON)
        if status not in (201, 409):
            raise SystemExit(f"a cut answered {status}: {body[:300]}")
        times.append(ms)
    return times[3:]


def summary(times: list[float]) -> dict:
    # The quarter that was least disturbed by what else the machine did is what growth is judged by.
    return {
        "p25_ms": percentile(times, 0.25),
        "p50_ms": percentile(times, 0.5),
        "p95_ms": percentile(times, 0.95),
        "answers": len(times),
    }


def memory(server: Server) -> dict[str, int]:
    """Resident memory in MB of the web worker and of what runs beside it."""
    found = {"web worker": _resident_mb(server.process.pid)}
    children = Path(f"/proc/{server.process.pid}/task").glob("*/children")  # each thread has its own
    kept = [int(pid) for of_thread in children for pid in of_thread.read_text().split()]
    for pid in kept:
        name = Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
        found["planner's worker" if "plan_worker" in name else name[-40:]] = _resident_mb(pid)
    return found


def _resident_mb(pid: int) -> int:
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    return next(int(line.split()[1]) // 1024 for line in lines if line.startswith("VmRSS"))


def one_size(rolls: int, rounds: int) -> dict:
    """Of the store that the environment names."""
    fill(rolls)
    name = person()
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder), "--quiet").start()
        try:
            phone = Phone(server.port, name).sign_in()
            return {"rolls": rolls, "pages": measure(phone, rounds), "memory_mb": memory(server)}
        finally:
            server.stop()


def both_sizes(store: str, chosen) -> dict:
    small, big = chosen.small, chosen.big
    sizes = []
    for rolls in (small, big):
        prepared = chosen.prepared if rolls == big else None
        command = [sys.executable, __file__, "--one", str(rolls), "--store", store, "--rounds", str(chosen.rounds)]
        command += ["--postgresql", chosen.postgresql, *(["--prepared", prepared] if prepared else [])]
        done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True)
        sizes.append(json.loads(done.stdout))
    growth = {page: round(sizes[1]["pages"][page]["p25_ms"] / sizes[0]["pages"][page]["p25_ms"], 2) for page in AIM_MS}
    slow = [page for page, aim in AIM_MS.items() if sizes[1]["pages"][page]["p95_ms"] > aim]
    grown = [page for page in OF_ONE_ROLL if growth[page] > GROWTH]
    heavy = [name for name, most in MOST_MB.items() if sizes[1]["memory_mb"].get(name, 0) > most]
    return {
        "store": store,
        "sizes": sizes,
        "growth_p25": growth,
        "over_the_aim": slow,
        "grew_too_much": grown,
        "too_heavy": heavy,
    }


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--store", choices=["sqlite", "postgresql"])
    ask.add_argument("--postgresql", default=POSTGRESQL)
    ask.add_argument("--small", type=int, default=1_000)
    ask.add_argument("--big", type=int, default=100_000)
    ask.add_argument("--rounds", type=int, default=60)
    ask.add_argument("--prepared", help="DATABASE_URL of a big store made before")
    ask.add_argument("--short", action="store_true", help="2,000 rolls are big, fewer rounds; nothing is judged")
    ask.add_argument("--one", type=int, help="measure one store of so many rolls")
    chosen = ask.parse_args()
    if chosen.store is None:
        return run_for_stores(__file__, ["sqlite", "postgresql"], sys.argv[1:])
    if chosen.one:
        if chosen.prepared:
            os.environ["DATABASE_URL"] = chosen.prepared
            os.environ["DJANGO_SETTINGS_MODULE"] = "shopstock.settings"
            with tempfile.TemporaryDirectory() as data:
                os.environ["SHOPSTOCK_DATA"] = data
                __import__("django").setup()
                manage("migrate", "-v", "0")
                print(json.dumps(one_size(chosen.one, chosen.rounds)))
            return 0
        with scratch_store(chosen.store, chosen.postgresql):
            print(json.dumps(one_size(chosen.one, chosen.rounds)))
        return 0
    if chosen.short:
        chosen.small, chosen.big, chosen.rounds = 200, 2_000, 15
    found = both_sizes(chosen.store, chosen)
    print(json.dumps(found))
    return 0 if chosen.short else int(bool(found["over_the_aim"] or found["grew_too_much"] or found["too_heavy"]))


if __name__ == "__main__":
    sys.exit(main())
