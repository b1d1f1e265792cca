import pytest


@pytest.fixture(autouse=True)
def waiting_files_in_a_folder_of_their_own(settings, tmp_path):
    settings.DATA_DIR = tmp_path
