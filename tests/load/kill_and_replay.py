"""The server is killed without warning while people cut, started again, and every unanswered tap sent once more.

    python tests/load/kill_and_replay.py [--short] [--store sqlite|postgresql]

After each kill: no acknowledged cut may be missing, none doubled, and the ledger must prove clean. Prints JSON, exits 1
when anything is wrong. A kill does not test a power cut; `synchronous=FULL` is what stands against that.
"""

import argparse
import http.client
import json
import random
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.load.cut_storm import cut, fill
from tests.load.phone import Phone
from tests.load.store import POSTGRESQL, Server, ledger_is_clean, run_for_stores, scratch_store

WRITERS = 8
BROKEN = (OSError, http.client.HTTPException)


class Round:
    """One life of the server: taps sent until it is killed, with what each was answered."""

    def __init__(self, number: int, codes: list[str]):
        self.number, self.codes = number, codes
        self.acknowledged: list[tuple[str, str]] = []
        self.unanswered: list[tuple[str, str]] = []
        self.wrong: list[int] = []
        self.over = threading.Event()

    def send_until_killed(self, phone: Phone, writer: int) -> None:
        tap = 0
        while not self.over.is_set():
            tap += 1
            wish = (f"kill-{self.number}-{writer}-{tap}", self.codes[(writer + tap) % len(self.codes)])
            try:
                status, _, _ = cut(phone, wish)
            except BROKEN:
                self.unanswered.append(wish)
                return
            (self.acknowledged if status in (200, 201) else self.wrong).append(wish if status < 300 else status)


def one_kill(server: Server, phones: list[Phone], codes: list[str], number: int, chance: random.Random) -> dict:
    life = Round(number, codes)
    threads = [threading.Thread(target=life.send_until_killed, args=pair[::-1]) for pair in enumerate(phones)]
    for thread in threads:
        thread.start()
    time.sleep(chance.uniform(0.7, 2.0))
    server.kill()
    life.over.set()
    for thread in threads:
        thread.join()
    for phone in phones:
        phone.hang_up()  # one that was answered in the last instant still holds its line to the dead server
    server.start()
    there = keys_in_ledger()
    lost = [key for key, _ in life.acknowledged if there.get(key, 0) == 0]
    committed_unanswered = sum(1 for key, _ in life.unanswered if key in there)
    replays = [cut(phones[0], wish)[0] for wish in life.unanswered]
    after = keys_in_ledger()
    sent = [key for key, _ in (*life.acknowledged, *life.unanswered)]
    return {
        "acknowledged": len(life.acknowledged),
        "unanswered": len(life.unanswered),
        "committed_but_unanswered": committed_unanswered,
        "replayed_as_200": replays.count(200),
        "replayed_as_201": replays.count(201),
        "lost": len(lost),
        "missing_after_replay": sum(1 for key in sent if after.get(key, 0) == 0),
        "doubled": sum(1 for key in sent if after.get(key, 0) > 1),
        "wrong_answers": life.wrong,
        "check_ledger": ledger_is_clean() or "clean",
    }


def keys_in_ledger() -> dict[str, int]:
    from collections import Counter

    from django.db import connection

    from shopstock.models import Movement

    connection.close()  # what another process wrote before it died must be read anew
    return Counter(Movement.objects.filter(kind="cut").values_list("key", flat=True))


def integrity() -> str:
    from django.db import connection

    if connection.vendor != "sqlite":
        return "not asked of this store"
    with connection.cursor() as cursor:
        return cursor.execute("PRAGMA integrity_check").fetchone()[0]


def is_right(kill: dict) -> bool:
    return (
        kill["lost"] == kill["missing_after_replay"] == kill["doubled"] == 0
        and not kill["wrong_answers"]
        and kill["replayed_as_200"] == kill["committed_but_unanswered"]
        and kill["check_ledger"] == "clean"
    )


def kills(store: str, postgresql: str, count: int, seed: int) -> dict:
    chance = random.Random(seed)
    with scratch_store(store, postgresql) as folder:
        codes = fill(WRITERS, 2_000_000)
        server = Server(folder).start()
        try:
            phones = [Phone(server.port, f"writer{number}").sign_in() for number in range(WRITERS)]
            found = [one_kill(server, phones, codes, number, chance) for number in range(count)]
        finally:
            server.stop()
        whole = integrity()
    totals = {
        name: sum(kill[name] for kill in found)
        for name in ("acknowledged", "committed_but_unanswered", "lost", "doubled")
    }
    right = all(is_right(kill) for kill in found) and whole in ("ok", "not asked of this store")
    return {"store": store, "kills": count, **totals, "integrity": whole, "right": right, "each": found}


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--store", choices=["sqlite", "postgresql"])
    ask.add_argument("--postgresql", default=POSTGRESQL, help="a database that may make databases")
    ask.add_argument("--kills", type=int, default=8)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--short", action="store_true", help="two kills")
    chosen = ask.parse_args()
    if chosen.store is None:
        return run_for_stores(__file__, ["sqlite", "postgresql"], sys.argv[1:])
    found = kills(chosen.store, chosen.postgresql, 2 if chosen.short else chosen.kills, chosen.seed)
    print(json.dumps(found))
    return 0 if found["right"] else 1


if __name__ == "__main__":
    sys.exit(main())
