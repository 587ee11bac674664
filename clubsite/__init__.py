"""The Django project: settings, addresses, sign-in, base templates, the home page."""
