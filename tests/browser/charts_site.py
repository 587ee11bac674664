"""The site with one page more: every chart, of invented numbers, or `only` those named. For tests alone."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import path

from clubsite.urls import handler400, handler403, handler404, handler500
from clubsite.urls import urlpatterns as ours
from tests.analytics.charts.samples import all_charts

__all__ = ["handler400", "handler403", "handler404", "handler500", "urlpatterns"]

PAGE = """{% extends "base.html" %}{% load charts %}
{% block title %}Charts{% endblock %}
{% block styles %}{% chart_styles %}{% endblock %}
{% block content %}<h1>Charts</h1><div class="charts">
{% for one in charts %}<section>{% figure one csv="/charts.csv" heading=2 %}</section>{% endfor %}
</div>{% endblock %}
{% block scripts %}{% chart_scripts %}{% endblock %}"""


def charts(request: HttpRequest) -> HttpResponse:
    page = engines["django"].from_string(PAGE)
    only = request.GET.getlist("only")
    shown = [one for one in all_charts() if not only or one.name in only]
    return HttpResponse(page.render({"charts": shown}, request))


urlpatterns = [*ours, path("charts/", charts)]
