"""manage.py plan_cuts FILE.json: plans the cuts of one reinforcement from a file; needs no database."""

import json
import sys
from pathlib import Path

from django.core.management.base import BaseCommand

from jobs.calc.cutting import Plan, Problem, ProblemError, joined_faults, plan_cuts


class Command(BaseCommand):
    help = "Plan how blanks are cut from rolls. Exit 0 complete, 3 cloth is short, 2 bad input."
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("file", help="problem file (JSON), - for standard input")
        parser.add_argument("--seconds", type=float, help="time to search (default 5)")
        parser.add_argument("--stages", type=int, choices=(2, 3, 4), help="cutting stages, instead of the file's")
        parser.add_argument("--workers", type=int, default=2, help="processes to search with (default 2)")
        parser.add_argument("--seed", type=int, default=0, help="seed of the search (default 0)")
        parser.add_argument("--work-limit", type=int, help="rounds of search: repeatable; ends earlier with --seconds")
        parser.add_argument("--json", action="store_true", help="print the plan as JSON")

    def handle(self, *args, **options):
        try:
            problem = _problem(options)
            for word in joined_faults(problem):
                self.stderr.write(f"{options['file']}: {word}")
            plan = _planned(problem, options)
        except ProblemError as error:
            self.stderr.write(f"{options['file']}: {error}")
            sys.exit(2)
        self.stdout.write(json.dumps(plan.to_json(), indent=1) if options["json"] else _as_text(plan))
        if not plan.complete:
            sys.exit(3)


def _problem(options: dict) -> Problem:
    problem = Problem.from_json(_decoded(options["file"]))
    return problem.with_stages(options["stages"]) if options["stages"] else problem


def _planned(problem: Problem, options: dict) -> Plan:
    return plan_cuts(
        problem,
        seconds=options["seconds"],
        seed=options["seed"],
        workers=options["workers"],
        work_limit=options["work_limit"],
    )


def _decoded(file: str) -> object:
    try:
        text = sys.stdin.read() if file == "-" else Path(file).read_text(encoding="utf-8")
        return json.loads(text)
    except OSError as error:
        raise ProblemError("$", f"the file cannot be read: {error.strerror}") from error
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError) as error:
        raise ProblemError("$", f"the file is not JSON: {error}") from error


def _as_text(plan: Plan) -> str:
    lines = [f"{plan.name}: {plan.status}, {plan.cloth_mm2 / 1e6:.2f} m² of cloth"]
    lines.append(
        f"no plan whatever can use less than {plan.bound_mm2 / 1e6:.2f} m²" + (" (this is one)" if plan.proved else "")
    )
    if plan.staged_bound_mm2 is not None:
        best = plan.complete and plan.cloth_mm2 <= plan.staged_bound_mm2
        least = f"no plan within the stages can use less than {plan.staged_bound_mm2 / 1e6:.2f} m²"
        lines.append(least + (" (this is one)" if best else ""))
    for strip in plan.strips:
        names = ", ".join(blank.id for blank in strip.blanks)
        lines.append(f"{strip.stock}: at {strip.from_mm} mm cut {strip.length_mm} mm: {names}")
    lines += [f"keep {o.length_mm} x {o.width_mm} mm from {o.stock} at {o.from_mm} mm" for o in plan.offcuts]
    lines += [f"no cloth for {line.count} of {line.id}: {line.reason}" for line in plan.unplaced]
    return "\n".join(lines)
