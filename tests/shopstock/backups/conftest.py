import pytest

from shopstock import ledger
from tests.factories import NOON, make_container, make_person, make_reinforcement, make_roll, new_key
from tests.jobs.factories import simple_job

from .other_place import OtherPlace


@pytest.fixture
def data_dir(settings, tmp_path):
    settings.DATA_DIR = tmp_path / "data"
    settings.BACKUP_DIR = settings.DATA_DIR / "backups"
    (settings.DATA_DIR / "uploads" / "faults").mkdir(parents=True)
    (settings.DATA_DIR / "uploads" / "faults" / "a.jpg").write_bytes(b"\xff\xd8 a picture")
    return settings.DATA_DIR


@pytest.fixture
def shop(transactional_db, data_dir):
    """A store with something in most of its tables."""
    clerk, owner = make_person("carla", "clerk"), make_person("olga", "owner")
    roll = make_roll(by=clerk, length_mm=40_000)
    ledger.record_cut(roll=roll, length_mm=1_234, by=clerk, at=NOON, key=new_key(), reason="Ø 3 m, “trial”")
    ledger.set_aside(promises=[ledger.Promise(roll, 4_000, "Hull 7", offcuts=((300, 900),))], by=owner, at=NOON)
    ledger.quarantine(roll=make_roll(by=clerk), reason="wet", by=clerk, at=NOON, key=new_key())
    make_container(by=clerk)
    simple_job(by=owner, reinforcement=make_reinforcement())
    return roll


@pytest.fixture
def other_place(tmp_path):
    return OtherPlace(tmp_path)
