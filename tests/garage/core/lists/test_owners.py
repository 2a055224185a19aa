import pytest

from garage.core.lists.owners import KnownKind, KnownOwner, OwnedMachine, plan_owners
from garage.core.lists.plan import LineCounts, LineOutcome, ListRow

HEAD = "name;email;telephone;address;machine;kind;year;registration\n"
KINDS = [
    KnownKind(3, "Corrick 185", 1979, 1986),
    KnownKind(4, "Corrick 185", 1987, None),
    KnownKind(5, "Ostler 110", None, None),
]
NEW, CHANGED, SAME, REFUSED = LineOutcome.NEW, LineOutcome.CHANGED, LineOutcome.SAME, LineOutcome.REFUSED


def known(**changed):
    values = {"name": "Ann Ford", "email": "ann@example.org", "telephone": "", "address": ""} | changed
    machine = {"words": "Corrick 185", "year": None, "registration": "", "kind_id": None}
    return KnownOwner(7, values, [OwnedMachine(70, machine)])


def planned(*lines, owners=()):
    return plan_owners((HEAD + "\n".join(lines)).encode(), list(owners), KINDS)


def only(plan):
    (entry,) = plan.entries
    return entry


def test_a_new_owner_comes_with_a_machine():
    plan = planned("Ann Ford;ann@example.org;07700 900123;Quarry Lane;Corrick 185;Corrick 185;1981;ABC 12D")
    assert (only(plan).outcome, only(plan).says) == (NEW, ("with Corrick 185",))
    machine = {"words": "Corrick 185", "year": 1981, "registration": "ABC 12D", "kind_id": 3}
    contact = {"name": "Ann Ford", "email": "ann@example.org", "telephone": "07700 900123", "address": "Quarry Lane"}
    assert plan.rows == (ListRow(None, contact, (ListRow(None, machine),)),)


def test_an_owner_may_come_without_a_machine():
    plan = planned("Ann Ford;;07700 900123;;;;;")
    assert plan.rows[0].parts == ()


def test_lines_with_the_same_telephone_or_mail_are_one_owner_with_several_machines():
    plan = planned(
        "Ann Ford;ann@example.org;07700 900123;;Corrick 185;;;",
        "Ann Ford;;+44 7700 900123;;Tarnhow 250;;;",
        "A. Ford;ANN@example.org;;;Ostler 110;;;",
        "Ann Ford;ann@example.org;;;corrick 185;;;",
    )
    assert [entry.outcome for entry in plan.entries] == [NEW, CHANGED, CHANGED, SAME]
    assert plan.entries[2].says == ("another machine: Ostler 110", "name stays Ann Ford")
    (row,) = plan.rows
    assert [part.values["words"] for part in row.parts] == ["Corrick 185", "Tarnhow 250", "Ostler 110"]


def test_of_a_known_owner_what_is_empty_is_filled_in_and_the_rest_stays():
    plan = planned(
        "Anne Ford;ann@example.org;07700 900123;Quarry Lane;Corrick 185;;1981;", owners=[known(address="Old")]
    )
    assert only(plan).outcome == CHANGED
    assert only(plan).says == (
        "telephone: 07700 900123",
        "Corrick 185, year filled in",
        "name stays Ann Ford",
        "address stays Old",
    )
    assert plan.rows == (ListRow(7, {"telephone": "07700 900123"}, (ListRow(70, {"year": 1981}),)),)


def test_what_is_known_already_is_the_same():
    plan = planned("ann ford;Ann@Example.org;;;CORRICK 185;;;", owners=[known()])
    assert (only(plan).outcome, only(plan).says, plan.rows) == (SAME, (), ())


def test_a_number_written_otherwise_is_the_same_number():
    plan = planned("Ann Ford;;+44 7700 900123;;;;;", owners=[known(telephone="07700 900123")])
    assert (only(plan).outcome, only(plan).says) == (SAME, ())


def test_a_record_that_was_joined_to_another_counts_as_that_one():
    owner = known()
    owner.others = [("email address", "old@example.org")]
    assert only(planned("Ann Ford;old@example.org;;;;;;", owners=[owner])).outcome == SAME


def test_the_same_registration_is_the_same_machine_whatever_it_is_called():
    owner = known()
    owner.machines[0].values["registration"] = "ABC12D"
    assert only(planned("Ann Ford;ann@example.org;;;the red one;;;abc 12d", owners=[owner])).outcome == SAME
    assert only(planned("Ann Ford;ann@example.org;;;Corrick 185;;;XYZ 1", owners=[known()])).outcome == CHANGED


def test_two_of_one_model_with_different_years_are_two_machines():
    plan = planned("Ann;ann@example.org;;;Corrick 185;;1981;", "Ann;ann@example.org;;;Corrick 185;;1985;")
    assert len(plan.rows[0].parts) == 2


def test_one_who_has_the_mail_of_one_and_the_number_of_another_is_refused():
    other = KnownOwner(8, {"name": "Bob Hay", "email": "", "telephone": "07700 900123", "address": ""})
    entry = only(planned("Ann Ford;ann@example.org;07700 900123;;;;;", owners=[known(), other]))
    assert entry.outcome == REFUSED
    assert "not of Ann Ford and Bob Hay: join them under Doubles first" in entry.says[0]


def test_a_kind_is_found_by_its_words_and_its_year():
    assert planned("Ann;a@example.org;;;;corrick 185;1990;").rows[0].parts[0].values["kind_id"] == 4
    assert planned("Ann;a@example.org;;;;Ostler 110;;").rows[0].parts[0].values["words"] == "Ostler 110"


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (";a@example.org;;;;;;", "Line 2, name is missing; allowed is up to 80 letters."),
        ("Ann;;;;;;;", "Line 2, telephone is missing; allowed is a number, when there is no mail address."),
        (
            "Ann;ann at home;;;;;;",
            "Line 2, email is 'ann at home'; allowed is an address such as name@example.org, or nothing.",
        ),
        (
            "Ann;;ask;;;;;",
            "Line 2, telephone is 'ask'; allowed is digits, spaces and a plus sign, such as 07700 900123, or nothing.",
        ),
        (
            "Ann;;7E9;;;;;",
            "Line 2, telephone is '7E9'; allowed is digits, spaces and a plus sign, such as 07700 900123, or nothing.",
        ),
        (
            "Ann;a@example.org;;;;;1981;",
            "Line 2, machine is missing; allowed is make and model, where there is a year or a registration.",
        ),
        (
            "Ann;a@example.org;;;;Tarnhow;;",
            "Line 2, kind is 'Tarnhow'; allowed is a kind that stands under The shop, Machine kinds, or nothing.",
        ),
        (
            "Ann;a@example.org;;;;Corrick 185;;",
            "Line 2, kind is 'Corrick 185'; allowed is a kind with a year that says which of its versions it is.",
        ),
        (
            "Ann;a@example.org;;;Corrick;;81;",
            "Line 2, year is '81'; allowed is a year in four digits, such as 1984, or nothing.",
        ),
    ],
)
def test_a_bad_line_has_one_sentence(line, sentence):
    entry = only(planned(line))
    assert (entry.outcome, entry.says) == (REFUSED, (sentence,))


def test_a_refused_line_leaves_no_owner_behind():
    plan = planned("Ann;a@example.org;;;;;1981;", "Ann;a@example.org;;;;;;")
    assert plan.counts == LineCounts(new=1, refused=1)


def test_a_formula_is_a_name_like_any_other():
    assert planned("=CMD();a@example.org;;;;;;").rows[0].values["name"] == "=CMD()"
