from django.urls import path

from courses import health
from tests.kill import views

urlpatterns = [
    path("healthz", health.healthz),
    path("readyz", health.readyz),
    path("upload/<int:student>/<str:key>", views.upload),
    path("say/<int:student>/<str:key>", views.say),
]
