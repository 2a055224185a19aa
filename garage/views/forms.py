"""What is typed to log in."""

from django import forms


class LogInForm(forms.Form):
    name = forms.CharField(label="Name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username"}))
    password = forms.CharField(
        label="Password", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )
