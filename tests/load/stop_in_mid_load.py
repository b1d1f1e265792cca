"""The server is asked to end while people cut: no answer may break off, and no cut may be in the ledger unanswered.

python -m tests.load.stop_in_mid_load [--workers 1]
"""

import argparse
import http.client
import json
import sys
import threading
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.load.cut_storm import cut, fill
from tests.load.phone import Phone
from tests.load.store import POSTGRESQL, Server, ledger_is_clean, scratch_store

WRITERS = 4


def cut_until_refused(phone: Phone, code: str, told: list) -> None:
    number = 0
    while True:
        number += 1
        key = f"{phone.name}-{number}"
        try:
            status, _, _ = cut(phone, (key, code))
        except (ConnectionRefusedError, http.client.RemoteDisconnected, ConnectionResetError) as error:
            told.append((key, type(error).__name__))
            return
        told.append((key, status))
        if status == 503:
            return


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--workers", type=int, default=1)
    ask.add_argument("--postgresql", default=POSTGRESQL)
    chosen = ask.parse_args()
    workers = chosen.workers
    with scratch_store("sqlite" if workers == 1 else "postgresql", chosen.postgresql) as folder:
        codes = fill(WRITERS, 100_000)
        server = Server(folder, "--workers", str(workers)).start()
        told: list = []
        phones = [Phone(server.port, f"writer{number}").sign_in() for number in range(WRITERS)]
        threads = [
            threading.Thread(target=cut_until_refused, args=[phone, code, told])
            for phone, code in zip(phones, codes, strict=True)
        ]
        for thread in threads:
            thread.start()
        time.sleep(1.5)
        exit_code = server.stop(40)
        for thread in threads:
            thread.join()
        from shopstock.models import Movement

        made = {key for key, status in told if status == 201}
        there = set(Movement.objects.filter(kind="cut").values_list("key", flat=True))
        found = {
            "made": len(made),
            "unanswered_but_in_the_ledger": len(there - made),
            "answered_but_not_there": len(made - there),
            "ends": dict(Counter(str(status) for _, status in told if status != 201)),
            "exit": exit_code,
            "check_ledger": ledger_is_clean() or "clean",
        }
    right = (
        there == made and made and exit_code == 0 and "500" not in found["ends"] and found["check_ledger"] == "clean"
    )
    print(json.dumps(found | {"right": bool(right)}))
    return 0 if right else 1


if __name__ == "__main__":
    sys.exit(main())
