import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from garage.models.list_files import ListFile
from garage.models.owners import MachineKind
from tests.factories import garage as make

pytestmark = pytest.mark.django_db
GOOD = b"make;model\nCorrick;185\n=1+1;<b>bold</b>\n"
MIXED = b"make;model;stroke_mm\nCorrick;185;54\nTarnhow;250;x\n"


@pytest.fixture
def boss(client):
    make.shop()
    client.force_login(make.boss())
    return client


def send(client, content, what="kinds"):
    return client.post("/shop/lists/", {"what": what, "file": SimpleUploadedFile("kinds.csv", content, "text/csv")})


def look(client, content):
    return client.get(send(client, content).headers["Location"])


def test_a_list_is_looked_at_and_then_taken_in(boss):
    page = look(boss, GOOD).content.decode()
    assert "2 new, 0 changed, 0 the same, 0 refused." in page
    assert "=1+1 &lt;b&gt;bold&lt;/b&gt;" in page
    assert not MachineKind.objects.exists()
    row = ListFile.objects.get()
    counts = {"new": 2, "changed": 0, "same": 0, "refused": 0}
    answer = boss.post(f"/shop/lists/{row.pk}/take/", counts)
    assert answer.headers["Location"] == "/shop/machine-kinds/"
    assert {kind.make for kind in MachineKind.objects.all()} == {"Corrick", "=1+1"}
    assert not ListFile.objects.exists()


def test_refused_lines_come_first_and_the_good_ones_can_be_taken(boss):
    page = look(boss, MIXED).content.decode()
    assert page.index("Refused: 1") < page.index("New: 1")
    assert "Line 3, stroke_mm is" in page
    assert "Take only the 1 good line<" in page
    counts = {"new": 1, "changed": 0, "same": 0, "refused": 1}
    path = f"/shop/lists/{ListFile.objects.get().pk}/take/"
    refused = boss.post(path, counts)
    assert refused.status_code == 409
    assert "Nothing was taken in" in refused.content.decode()
    assert not MachineKind.objects.exists()
    boss.post(path, counts | {"only_good": "on"})
    assert MachineKind.objects.count() == 1


def test_what_has_changed_meanwhile_is_said(boss):
    look(boss, GOOD)
    counts = {"new": 1, "changed": 0, "same": 0, "refused": 0}
    answer = boss.post(f"/shop/lists/{ListFile.objects.get().pk}/take/", counts)
    assert "something has changed since you looked" in answer.content.decode()


@pytest.mark.parametrize("counts", [{}, {"new": "x", "changed": 0, "same": 0, "refused": 0}])
def test_a_post_made_by_hand_takes_nothing_in(boss, counts):
    look(boss, GOOD)
    answer = boss.post(f"/shop/lists/{ListFile.objects.get().pk}/take/", counts)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.content.decode()
    assert not MachineKind.objects.exists()


def test_a_file_that_is_no_list_is_said_on_its_form(boss):
    answer = send(boss, b"colour\nred\n")
    assert answer.status_code == 422
    assert "the column make is missing" in answer.content.decode()
    assert send(boss, b"").status_code == 422


def test_a_long_list_is_shown_in_part(boss):
    rows = "".join(f"Make {n};185\n" for n in range(150))
    page = look(boss, f"make;model\n{rows}".encode()).content.decode()
    assert "And 50 more." in page
    assert page.count("<tr>") == 101


def test_a_list_can_be_forgotten(boss):
    look(boss, GOOD)
    assert boss.post(f"/shop/lists/{ListFile.objects.get().pk}/forget/").headers["Location"] == "/shop/lists/"
    assert not ListFile.objects.exists()


def test_the_columns_stand_on_the_page(boss):
    page = boss.get("/shop/lists/").content.decode()
    assert "design_rpm" in page
    assert "registration" in page
