"""A small bank file in which everything occurs that a bank file may hold."""

from __future__ import annotations

from tests.diagnostics.core.small_banks import small_bank_text

SOURCE = 'source = "made for a test"\n'
SIGN = ({"no": 0.9, "yes": 0.1}, {"a": {"yes": 0.5}})
PLAIN = small_bank_text({"a": 0.1, "b": 0.2}, {"sign": SIGN}).replace("[strobe.offset]\n[strobe.drift]\n", "")
TEXT = (
    PLAIN
    + f"""
[question.changed]
ask = "Changed?"
how = ["Look.", "Say."]
cautions = ["Hot."]
kind = "several"
nothing = "none"
always = true
not_on = ["points", "automatic"]
not_when = {{ sign = ["yes"] }}
cost_pence = 3
answers = {{ jets = "Jets", none = "Nothing" }}
share = {{ jets = 0.25, none = 0.75 }}
together = [{{ answers = ["jets", "none"], times = {{ b = 0.5 }} }}]
times = {{ jets = {{ a = 3.0, b = 0.5 }} }}
{SOURCE}
[question.test]
ask = "Tried?"
kind = "one"
cost_pence = 1
answers = {{ well = "Well", ill = "Ill" }}
background = {{ well = 0.8, ill = 0.2 }}
said = {{ well = {{ well = 0.9, ill = 0.1 }}, ill = {{ well = 0.3, ill = 0.7 }} }}
shows = {{ a = {{ ill = 0.6 }}, b = {{ well = 0.1, ill = 0.2 }} }}
{SOURCE}
[question.oiled]
ask = "How?"
kind = "one"
of_machine = "oiling"
needs = ["sign", "test"]
cost_pence = 1
answers = {{ mixed = "Mixed", pump = "Pump" }}
{SOURCE}
[question.reading]
ask = "How many?"
kind = "number"
unit = "degrees"
cost_pence = 1
{SOURCE}
[strobe.offset]
a = {{ mean = -3.5, spread = 2.5 }}
[strobe.drift]
b = {{ mean = 1.5, spread = 0.5 }}
[access.cover]
say = "the cover off"
minutes = 15
{SOURCE}
[step.more]
do = "Look under it"
minutes = 12
access = "cover"
clears = {{ a = 0.25, b = 0.75 }}
opens_throttle = true
makes_safe = ["sign=yes", "reading"]
only_on = ["points", "automatic"]
{SOURCE}
[fault.c]
group = "mechanical"
say = "c"
spoils = ["power-run", "bench"]
is_jetting = true
chance = 0.3
times = {{ points = 2.0, set-up = 0.5 }}
{SOURCE}
[step.c]
do = "c"
minutes = 8
clears = {{ c = 1.0 }}
{SOURCE}
[retest.again]
do = "try it again"
minutes = 4
opens_throttle = true
{SOURCE}
[repair.a]
do = "Renew it"
minutes = 20
then = "again"
on.points = {{ do = "Renew the points", minutes = 35 }}
{SOURCE}
[repair.b]
do = "Clean it"
minutes = 6
{SOURCE}
[[contradiction]]
answers = {{ sign = "yes", test = "well" }}
{SOURCE}"""
)
