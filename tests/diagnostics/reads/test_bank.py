from diagnostics.reads import bank


def test_the_bank_in_force_is_sound():
    assert bank.bank_trouble() == ""


def test_a_broken_bank_is_reported_in_one_sentence_with_file_and_path(tmp_path, monkeypatch):
    text = bank.BANK_FILE.read_text(encoding="utf-8")
    spoilt = tmp_path / "spoilt.toml"
    spoilt.write_text(text.replace('[fault.ht-side]\ngroup = "ignition"', '[fault.ht-side]\ngroup = "magic"', 1))
    assert spoilt.read_text() != text
    monkeypatch.setattr(bank, "BANK_FILE", spoilt)
    bank.the_bank.cache_clear()
    try:
        trouble = bank.bank_trouble()
    finally:
        monkeypatch.undo()
        bank.the_bank.cache_clear()
    assert str(spoilt) in trouble
    assert "fault.ht-side.group" in trouble
    assert "\n" not in trouble
