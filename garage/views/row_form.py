"""Forms of one row: Django's own, told to the check of types which model they are of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django import forms
from django.db import models

if TYPE_CHECKING:
    RowForm = forms.ModelForm
else:

    class RowForm(forms.ModelForm):
        """RowForm[Shop] is a form of the shop. Django's own form takes no model in brackets; Meta says which it is."""

        def __class_getitem__(cls, _model: type[models.Model]) -> type[forms.ModelForm]:
            return cls
