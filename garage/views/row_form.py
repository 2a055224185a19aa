"""ModelForms that tell mypy which model they are of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django import forms
from django.db import models

if TYPE_CHECKING:
    RowForm = forms.ModelForm
else:

    class RowForm(forms.ModelForm):
        """RowForm[Shop] is a ModelForm of the shop. Django's own takes no type parameter, and Meta names the model."""

        def __class_getitem__(cls, _model: type[models.Model]) -> type[forms.ModelForm]:
            return cls
