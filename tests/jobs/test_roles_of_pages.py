"""Every page and every post of jobs, for each role."""

import pytest
from django.urls import reverse

from jobs.models import CuttingPlan, Job
from shopstock.models import SetAside
from tests.factories import make_reinforcement, make_roll
from tests.jobs.factories import confirmed, make_job, planned, simple_job
from tests.repo.demo_shop import without_a_trace

LOOKS = ["jobs", "job", "cutting-plan", "plan-file", "plan-print", "strip-blanks", "resin-of-job", "plies-export"]
OWNER_PAGES = [
    "job-add",
    "job-edit",
    "part-add",
    "part-edit",
    "ply-add",
    "ply-edit",
    "plies-import",
    "plan-by-hand",
    "plan-together",
]
OWNER_POSTS = [
    "job-add",
    "job-edit",
    "job-cancel",
    "part-add",
    "part-edit",
    "part-remove",
    "ply-add",
    "ply-edit",
    "ply-remove",
    "plies-import",
    "plan-job",
    "plan-confirm",
    "plan-cancel",
    "plan-stop",
    "plan-search",
    "plan-by-hand",
    "plan-together",
    "resin-of-job",
]
ONLY_POSTS = ["job-cancel", "plan-job", "plan-confirm", "plan-cancel", "part-remove", "ply-remove"]


@pytest.fixture
def addresses(db, owner) -> dict[str, str]:
    kind = make_reinforcement()
    make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind)
    plan = confirmed(job, owner)
    part = job.parts.get()
    ids = {"job": job.pk, "part": part.pk, "ply": part.plies.get().pk, "plan": plan.pk}
    ids["cut"] = SetAside.objects.get().pk
    needs = {
        "job": "job job-edit job-cancel part-add plies-import plies-export plan-job resin-of-job",
        "part": "part-edit part-remove ply-add",
        "ply": "ply-edit ply-remove",
        "plan": "cutting-plan plan-file plan-print plan-confirm plan-cancel plan-stop plan-search plan-by-hand",
        "cut": "strip-blanks",
    }
    found = {name: reverse(name, args=[ids[what]]) for what, names in needs.items() for name in names.split()}
    return found | {"plan-together": reverse("plan-together"), "jobs": reverse("jobs"), "job-add": reverse("job-add")}


@pytest.fixture(params=["clerk", "laminator", "owner", "outsider"])
def role(request) -> str:
    return request.param


@pytest.fixture
def signed_in(client, role, request):
    client.force_login(request.getfixturevalue(role))
    return client


def statuses(ask, addresses: dict[str, str], names: list[str]) -> dict[str, int]:
    """What each address answers, each asked of the shop as it was before."""
    found = {}
    for name in names:
        with without_a_trace():
            found[name] = ask(addresses[name]).status_code
    return found


def test_looking_is_for_everyone_with_a_role(signed_in, role, addresses):
    expected = 403 if role == "outsider" else 200
    assert statuses(signed_in.get, addresses, LOOKS) == dict.fromkeys(LOOKS, expected)


def test_forms_are_for_the_owner(signed_in, role, addresses):
    expected = 200 if role == "owner" else 403
    assert statuses(signed_in.get, addresses, OWNER_PAGES) == dict.fromkeys(OWNER_PAGES, expected)


@pytest.mark.parametrize("role", ["owner"])
def test_writing_is_open_to_the_owner(signed_in, addresses):
    assert 403 not in statuses(signed_in.post, addresses, OWNER_POSTS).values()


@pytest.mark.parametrize("role", ["clerk", "laminator", "outsider"])
def test_writing_is_refused_to_all_others_and_changes_nothing(signed_in, addresses):
    def there():
        return set(Job.objects.values_list("state")), set(CuttingPlan.objects.values_list("pk", "state"))

    before = there()
    for name in OWNER_POSTS:
        assert (name, signed_in.post(addresses[name]).status_code) == (name, 403)
        assert there() == before


def test_a_link_cannot_write(client, owner, addresses):
    client.force_login(owner)
    assert statuses(client.get, addresses, ONLY_POSTS) == dict.fromkeys(ONLY_POSTS, 405)


def test_pages_of_a_job_offer_a_laminator_nothing_to_write(client, laminator, addresses):
    client.force_login(laminator)
    for name in ("jobs", "job", "cutting-plan", "resin-of-job"):
        page = client.get(addresses[name]).content.decode()
        assert page.count('method="post"') == 1  # signing out


def test_someone_not_signed_in_is_sent_to_sign_in(client, addresses):
    for name in LOOKS:
        assert client.get(addresses[name]).url.startswith(reverse("sign-in"))


def test_wrong_numbers_in_an_address_give_the_helpful_page(client, owner):
    client.force_login(owner)
    for name in ("job", "cutting-plan", "ply-edit", "part-edit", "strip-blanks", "resin-of-job"):
        assert client.get(reverse(name, args=[999_999])).status_code == 404


def test_plan_of_an_empty_job_says_what_to_do(client, owner):
    client.force_login(owner)
    page = client.post(reverse("plan-job", args=[make_job(by=owner).pk]), follow=True)
    assert "Add a part and its plies first." in page.content.decode()


def test_offered_plan_of_somebody_elses_page_is_found_by_number(client, owner):
    client.force_login(owner)
    kind = make_reinforcement()
    make_roll(by=owner, reinforcement=kind)
    plan = planned(simple_job(by=owner, reinforcement=kind), owner)
    assert client.get(plan.get_absolute_url()).context["plan"] == plan
