"""What every form of the room shares: one change is tried, and what it refuses is said where it belongs."""

from collections.abc import Callable

from django import forms

from garage.core.errors import BadInput, Refused


class LogInForm(forms.Form):
    name = forms.CharField(label="Name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = forms.CharField(
        label="Password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )


def carried_out(form: forms.BaseForm, change: Callable[[], object]) -> bool:
    """Whether the form was fine and the change was made; otherwise the form now says what stood in the way."""
    if not form.is_valid():
        return False
    try:
        change()
    except BadInput as error:
        form.add_error(_field_called(form, error.where), error.sentence)
    except Refused as error:
        form.refused = True
        form.add_error(None, error.sentence)
    return form.is_valid()


def status_of(form: forms.BaseForm) -> int:
    """200 while nothing is wrong, 409 when the change was refused, 422 when something typed cannot be used."""
    if not form.is_bound or form.is_valid():
        return 200
    return 409 if getattr(form, "refused", False) else 422


def _field_called(form: forms.BaseForm, where: str) -> str | None:
    """The field whose name or label the error says; None puts the sentence at the head of the form."""
    for name, field in form.fields.items():
        if where.casefold() in {name.casefold(), str(field.label or "").casefold()}:
            return name
    return None
