"""Every address of the site."""

from django.contrib.auth import views as auth_views
from django.urls import include, path
from django.views.i18n import JavaScriptCatalog
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView

from clubsite import views
from clubsite.pages import docs, docs_simulator
from clubsite.pages.home import home

urlpatterns = [
    path("", home, name="home"),
    path("healthz", views.healthz, name="healthz"),
    path("sign-in/", auth_views.LoginView.as_view(redirect_authenticated_user=True), name="sign-in"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign-out"),
    path("password/", auth_views.PasswordChangeView.as_view(), name="password_change"),
    path("password/done/", auth_views.PasswordChangeDoneView.as_view(), name="password_change_done"),
    path("jsi18n/", JavaScriptCatalog.as_view(), name="javascript-catalog"),
    path("docs/", docs.docs, name="docs"),
    path("docs/rulings/", docs.docs_rulings, name="docs-rulings"),
    path("docs/record/", docs.docs_record, name="docs-record"),
    path("docs/keys/", docs.docs_keys, name="docs-keys"),
    path("docs/simulator/", docs_simulator.docs_simulator, name="docs-simulator"),
    path("docs/diamonds/", docs.docs_diamonds, name="docs-diamonds"),
    path("docs/lines/", docs.docs_lines, name="docs-lines"),
    path("docs/own-table/", docs.docs_own_table, name="docs-own-table"),
    path("docs/competitions/", docs.docs_competitions, name="docs-competitions"),
    path("docs/reports/", docs.docs_reports, name="docs-reports"),
    path("docs/practice/", docs.docs_practice, name="docs-practice"),
    path("docs/predictions/", docs.docs_predictions, name="docs-predictions"),
    path("api/schema/", SpectacularAPIView.as_view(), name="schema"),
    path("api/docs/", SpectacularSwaggerSplitView.as_view(url_name="schema"), name="api-docs"),
    path("api/", include("scoring.api.urls")),
    path("api/", include("analytics.api.urls")),
    path("", include("scoring.pages.urls")),
    path("", include("analytics.pages.urls")),
]

handler400 = "clubsite.refusals.bad_request"
handler403 = "clubsite.refusals.permission_denied"
handler404 = "clubsite.refusals.not_found"
handler500 = "clubsite.refusals.server_error"
