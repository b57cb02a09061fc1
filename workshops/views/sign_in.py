"""The door for the staff; attendees come by their private links."""

from __future__ import annotations

from django.contrib.auth.views import LoginView, LogoutView

from workshops.forms.sign_in import SignInForm

sign_in = LoginView.as_view(
    template_name="workshops/sign_in.html",
    authentication_form=SignInForm,
    redirect_authenticated_user=True,
)
sign_out = LogoutView.as_view()
