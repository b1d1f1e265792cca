from jobs.calc.cutting import Problem
from jobs.calc.cutting.clock import Clock
from jobs.calc.cutting.first_fit import first_fit
from jobs.calc.cutting.levels import make_task
from jobs.calc.cutting.partner import start_partner
from tests.jobs.calc.cutting.problems import shop_job


def test_a_partner_ends_when_the_process_that_started_it_is_gone():
    task = make_task(Problem.from_json(shop_job(4)))
    partner = start_partner(task, first_fit(task)[0], 1, Clock(600, work_limit=10_000_000))
    partner.process.stdin.close()  # what the system does to the pipe of a process that is killed
    try:
        assert partner.process.wait(timeout=60) == 0
    finally:
        partner.close()
