"""Sixteen people cut the same four rolls at once, more than there is, and every tenth tap is sent twice.

    python tests/load/cut_storm.py [--short] [--store sqlite|postgresql]

Starts the real server on a store of its own, signs the people in, and prints as JSON what was accepted, replayed and
refused, whether balance and ledger agree, how long the answers took, and the rate beside that of reading two pages of
the same server signed in: the roll's page that is read before each cut, and the lightest page there is. Exits 1 unless
exactly what was there was cut, without one error, at 0.4 of the rate of reading the roll's page or more.
"""

import argparse
import json
import random
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.load.phone import JSON, Phone, percentile
from tests.load.store import PASSWORD, POSTGRESQL, Server, ledger_is_clean, run_for_stores, scratch_store

ROLLS, CUT_MM = 4, 50
LEAST_RATIO = 0.4


def fill(writers: int, fitting: int) -> list[str]:
    """The people, and rolls on which exactly `fitting` cuts can be had; returns the rolls' codes."""
    from django.contrib.auth.hashers import make_password
    from django.contrib.auth.models import Group, User
    from django.utils import timezone

    from shopstock import ledger
    from shopstock.models import Reinforcement

    hashed, role = make_password(PASSWORD), Group.objects.get(name="laminator")
    for number in range(writers):
        User.objects.create(username=f"writer{number}", password=hashed).groups.add(role)
    cloth = Reinforcement.objects.create(
        name="storm cloth", form="cloth", fibre="e_glass", areal_weight_gsm=300, width_mm=1000, roll_length_mm=50_000
    )
    by, now = User.objects.first(), timezone.now()
    wish = {"reinforcement": cloth, "width_mm": 1000, "length_mm": fitting // ROLLS * CUT_MM, "by": by, "at": now}
    return [ledger.record_receipt(**wish, key=f"storm{number}").code for number in range(ROLLS)]


def taps(codes: list[str], wanted: int, seed: int) -> list[tuple[str, str]]:
    """(key, code) of every tap, one in ten twice, shuffled so that both of a pair may be under way together."""
    once = [(f"storm-{seed}-{number}", codes[number % len(codes)]) for number in range(wanted)]
    twice = random.Random(seed).sample(once, wanted // 10)
    sent = once + twice
    random.Random(seed + 1).shuffle(sent)
    return sent


def together(phones: list[Phone], work: list, do) -> tuple[list, float]:
    """Let every phone take from the same pile of work until it is gone; returns what `do` gave, and the seconds."""
    pile, results, lock = iter(work), [], threading.Lock()

    def run(phone: Phone) -> None:
        while True:
            with lock:
                item = next(pile, None)
            if item is None:
                return
            result = do(phone, item)
            with lock:
                results.append(result)

    threads = [threading.Thread(target=run, args=[phone]) for phone in phones]
    start = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results, time.perf_counter() - start


def cut(phone: Phone, tap: tuple[str, str]) -> tuple[int, bytes, float]:
    key, code = tap
    form = {"key": key, "length": f"{CUT_MM} mm", "purpose": "storm"}
    return phone.timed(phone.post, f"/r/{code}/cut-without-plan/", form, JSON)


def read(phone: Phone, address: str) -> tuple[int, bytes, float]:
    return phone.timed(phone.get, address)


def rate_of_reading(phones: list[Phone], address: str, count: int) -> float:
    answers, seconds = together(phones, [address] * count, read)
    wrong = [status for status, _, _ in answers if status != 200]
    if wrong:
        raise SystemExit(f"{address} answered {wrong[0]}")
    return len(answers) / seconds


def books(codes: list[str]) -> dict:
    from django.db.models import Sum

    from shopstock.models import Movement, Roll

    left = Roll.objects.filter(code__in=codes).aggregate(mm=Sum("length_mm"))["mm"]
    cuts = Movement.objects.filter(kind="cut")
    return {
        "cuts_in_ledger": cuts.count(),
        "left_mm": left,
        "ledger_mm": Movement.objects.aggregate(mm=Sum("delta_mm"))["mm"],
        "check_ledger": ledger_is_clean() or "clean",
    }


def storm(
    store: str, postgresql: str, *, writers: int, wanted: int, fitting: int, seed: int, server: list[str]
) -> dict:
    with scratch_store(store, postgresql) as folder:
        codes = fill(writers, fitting)
        running = Server(folder, *server).start()
        try:
            phones = [Phone(running.port, f"writer{number}").sign_in() for number in range(writers)]
            together(phones, ["/scan/"] * 4 * writers, read)  # every thread has its connection and its templates
            reads = max(200, wanted // 3)
            before = rate_of_reading(phones, "/scan/", reads)
            answers, seconds = together(phones, taps(codes, wanted, seed), cut)
            after = rate_of_reading(phones, "/scan/", reads)
            roll_page = rate_of_reading(phones, f"/r/{codes[0]}", reads // 2)
        finally:
            exit_code = running.stop()
        found = summary(answers, seconds) | books(codes)
        reading = (before + after) / 2
        return {
            "store": store,
            **found,
            "light_page_req_s": round(reading, 1),
            "roll_page_req_s": round(roll_page, 1),
            "ratio_to_light_page": round(found["req_s"] / reading, 2),
            "ratio_to_roll_page": round(found["req_s"] / roll_page, 2),
            "database_is_locked": running.log.read_text(errors="replace").count("database is locked"),
            "server_exit": exit_code,
        }


def summary(answers: list[tuple[int, bytes, float]], seconds: float) -> dict:
    count = {status: sum(1 for answer in answers if answer[0] == status) for status in (201, 200, 409)}
    times = [answer[2] for answer in answers]
    return {
        "sent": len(answers),
        "accepted": count[201],
        "replayed": count[200],
        "refused": count[409],
        "errors": len(answers) - sum(count.values()),
        "req_s": round(len(answers) / seconds, 1),
        "p50_ms": percentile(times, 0.50),
        "p95_ms": percentile(times, 0.95),
        "p99_ms": percentile(times, 0.99),
    }


def is_right(found: dict, fitting: int, *, least_ratio: float) -> bool:
    return (
        found["accepted"] == found["cuts_in_ledger"] == fitting
        and found["errors"] == found["database_is_locked"] == found["left_mm"] == found["ledger_mm"] == 0
        and found["check_ledger"] == "clean"
        and found["ratio_to_roll_page"] >= least_ratio
    )


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--store", choices=["sqlite", "postgresql"])
    ask.add_argument("--postgresql", default=POSTGRESQL, help="a database that may make databases")
    ask.add_argument("--writers", type=int, default=16)
    ask.add_argument("--cuts", type=int, default=2400)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--short", action="store_true", help="a quarter of the cuts, and the rate is not judged")
    ask.add_argument("--server", action="append", default=[], help="a further argument of manage.py serve")
    chosen = ask.parse_args()
    if chosen.store is None:
        return run_for_stores(__file__, ["sqlite", "postgresql"], sys.argv[1:])
    wanted = chosen.cuts // 4 if chosen.short else chosen.cuts
    fitting = wanted * 2 // 3 // ROLLS * ROLLS
    found = storm(
        chosen.store,
        chosen.postgresql,
        writers=chosen.writers,
        wanted=wanted,
        fitting=fitting,
        seed=chosen.seed,
        server=chosen.server,
    )
    right = is_right(found, fitting, least_ratio=0 if chosen.short else LEAST_RATIO)
    print(json.dumps({**found, "fitting": fitting, "right": right}))
    return 0 if right else 1


if __name__ == "__main__":
    sys.exit(main())
