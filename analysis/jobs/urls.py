from django.urls import path

from analysis.jobs import views

app_name = "jobs"
urlpatterns = [
    path("<uuid:public_id>/", views.progress, name="progress"),
    path("<uuid:public_id>/retry/", views.try_again, name="retry"),
]
