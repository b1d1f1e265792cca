"""What a change of the labels' design costs: the share of damaged labels that a phone still reads, by damage.

    python tests/bench/label_damage.py [--trials 50] [--long-address]

Each medium is drawn as the program draws it and with one code of the same ink instead of two. The damages are made with
seeds, so two runs print the same table.
"""

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from labels.calc.sheet_geometry import MEDIA
from tests.labels.damage import DAMAGES, printed, share_read, with_one_code
from tests.labels.examples import LONG_ADDRESS, SHORT_ADDRESS, roll_label

SHOWN = ("A4, 3 x 7 labels of 63.5 x 38.1 mm", "Label printer, 100 x 50 mm", "Label printer, 57 x 32 mm")
BLOB, LEAST_SHARE = "blob of 120 mm² on a code", 0.98


def columns(address: str) -> dict:
    label = roll_label(1, address)
    media = [medium for medium in MEDIA if medium.name in SHOWN]
    made = {}
    for medium in media:
        size, ours = f"{medium.label_w:g}x{medium.label_h:g}", printed(label, medium)
        made[f"{size}, {len(ours.codes)} codes" if len(ours.codes) > 1 else f"{size}, 1 code"] = ours
        if len(ours.codes) > 1:
            made[f"{size}, one"] = with_one_code(label, medium)
    return made


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=50)
    parser.add_argument("--long-address", action="store_true", help="a LAN address with a port: a larger symbol")
    options = parser.parse_args()
    labels = columns(LONG_ADDRESS if options.long_address else SHORT_ADDRESS)
    print(f"Share read in one frame, %, of {options.trials} labels each")
    print(f"{'':36}" + "".join(f"{name:>19}" for name in labels))
    good = True
    for name, damage in DAMAGES.items():
        shares = {column: share_read(label, damage, options.trials) for column, label in labels.items()}
        print(f"{name:36}" + "".join(f"{100 * share:20.0f}" for share in shares.values()), flush=True)
        if name == BLOB:
            good = all(share >= LEAST_SHARE for column, share in shares.items() if column.endswith("2 codes"))
    return 0 if good else 1


if __name__ == "__main__":
    raise SystemExit(main())
