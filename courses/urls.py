"""Addresses of people, courses and the library."""

from django.urls import path

from courses.views import courses, demo, joining, library, offline, reader, words

urlpatterns = [
    path("library/", library.library_page, name="library"),
    path("library/upload/", library.upload, name="upload"),
    path("scores/<uuid:score_id>/corrected/", library.upload_corrected, name="upload-corrected"),
    path("scores/<uuid:score_id>/take-down/", library.take_down, name="take-down"),
    path("courses/", courses.course_list, name="courses"),
    path("courses/new/", courses.new_course, name="new-course"),
    path("courses/<uuid:course_id>/", courses.course_page, name="course"),
    path("courses/<uuid:course_id>/edit/", courses.edit_course, name="edit-course"),
    path("courses/<uuid:course_id>/word/", courses.new_word, name="new-word"),
    path("courses/<uuid:course_id>/scores/", courses.link_score, name="link-score"),
    path("courses/<uuid:course_id>/word/close/", courses.close_invitation,
         name="close-invitation"),
    path("enrolments/<uuid:enrolment_id>/", courses.decide, name="decide-enrolment"),
    path("enrolments/<uuid:enrolment_id>/out/", courses.take_out, name="take-out"),
    path("words/", words.words_page, name="words"),
    path("offline.js", offline.worker, name="offline-worker"),
    path("reader/", reader.keep_reader, name="keep-reader"),
    path("join/", joining.give_word, name="give-word"),
    path("join/course/", joining.join_course, name="join-course"),
    path("demo/", demo.doors, name="demo-doors"),
    path("demo/enter/<str:username>/", demo.enter, name="demo-enter"),
]  # fmt: skip
