"""What is typed at the day sheet, the take-in and beside a photo."""

from datetime import date, datetime

from django import forms

from garage.models.people import Person
from garage.models.visits import TakeIn
from garage.reads.clock import instant_of
from garage.reads.people import workers


class BeginForm(forms.Form):
    station = forms.IntegerField(min_value=1)


class PinForm(forms.Form):
    station = forms.IntegerField(min_value=1, required=False)
    person = forms.ModelChoiceField(Person.objects.none(), required=False)
    begins = forms.TimeField(required=False, input_formats=["%H:%M"])

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = workers()

    def sentence(self) -> str:
        field = next(iter(self.errors))
        allowed = {
            "station": "a number of the shop, 1 or more",
            "person": "one of the people",
            "begins": "a time as 14:30",
        }
        return f"{field.capitalize()} is {self.data.get(field)!r}; allowed is {allowed[field]}."

    def pin(self, day: date) -> dict:
        begins = self.cleaned_data["begins"]
        return {
            "station": self.cleaned_data["station"],
            "by_person": self.cleaned_data["person"],
            "begins_at": instant_of(datetime.combine(day, begins)) if begins else None,
        }


class TakeInForm(forms.ModelForm):
    class Meta:
        model = TakeIn
        fields = ["how_it_came", "key_left", "came_with", "remarks", "stays_overnight"]
        labels = {
            "how_it_came": "How did it come?",
            "key_left": "The key is with us",
            "came_with": "What came with it",
            "remarks": "Scratches, leaks, what the owner said at the door",
            "stays_overnight": "It stays overnight (a floor place)",
        }
        widgets = {"came_with": forms.Textarea(attrs={"rows": 2}), "remarks": forms.Textarea(attrs={"rows": 3})}


class PhotoForm(forms.Form):
    photo = forms.FileField(label="Photo")
    words = forms.CharField(max_length=120, required=False, label="What it shows")
