"""Rules of safety for this site, each with the tests that hold it to them.

The numbers of a row are those of the OWASP Application Security Verification Standard
5.0.0 (May 2025); the wording is ours. A row without tests says why it has none.
"""

from dataclasses import dataclass

SECURITY = "tests.views.test_security::"
PRODUCTION = "tests.views.test_production::"
LOGS = "tests.views.test_logs::"
ACCOUNTS = "tests.views.test_accounts::"
ACCESS = "tests.views.test_access::"
TEXT = "tests.views.test_text_is_text::"
KEPT = "tests.views.test_key_kept::"
ATTEMPTS = "tests.models.test_attempts::"
CLUBS = "tests.models.test_clubs::"
CLUB_PAGES = "tests.views.test_clubs::"
BUNDLES = "tests.models.test_bundle_files::"
BUNDLE_PAGES = "tests.views.test_bundles::"
INTAKE = "tests.models.test_pictures_intake::"
FORMATS = "tests.models.test_pictures_formats::"
RIGHTS = "tests.models.test_pictures_rights::"
TOOLS = "tests.models.test_pictures_tools::"
PICTURES = "tests.models.test_pictures::"
RECORD_FILES = "tests.models.test_record_files::"
ERASING = "tests.models.test_erasing::"
DELETE = "tests.views.test_delete_account::"
PLACES = "tests.views.test_places::"
OFFLINE = "tests.browser.test_offline::"
JOINING = "tests.views.test_joining::"
PICTURE_PAGES = "tests.views.test_pictures::"


@dataclass(frozen=True)
class Rule:
    ids: str
    says: str
    tests: tuple[str, ...] = ()
    not_yet: str = ""


ROWS = {
    1: Rule(
        "6.2.1 6.2.5 6.2.9",
        "Passwords have 8 letters or more, phrases of 64 are taken, no recipe is asked.",
        (
            SECURITY + "test_long_phrases_are_taken_and_weak_passwords_are_not",
            SECURITY + "test_long_phrase_counts_to_its_last_letter",
        ),
    ),
    2: Rule(
        "6.2.4 6.2.12",
        "Common passwords and the person's own name or address are refused.",
        (SECURITY + "test_long_phrases_are_taken_and_weak_passwords_are_not",),
    ),
    3: Rule(
        "6.2.7",
        "Password managers and pasting work.",
        (
            SECURITY + "test_password_managers_and_pasting_work",
            SECURITY + "test_no_script_of_ours_touches_pasting",
        ),
    ),
    4: Rule(
        "6.3.1 6.1.1",
        "Guessing is slowed down by account and source; nobody can lock the owner out.",
        (
            SECURITY + "test_failures_are_slowed_down_and_the_owner_still_gets_in",
            SECURITY + "test_one_source_that_tries_many_accounts_is_slowed_down",
        ),
    ),
    5: Rule(
        "6.3.3",
        "Site staff need a second step; mentors and organisers are offered one. "
        "Everybody else signs in with a password alone.",
        (
            ACCOUNTS + "test_admin_sends_staff_without_second_step_to_set_one_up",
            ACCOUNTS + "test_admin_refuses_everybody_else",
            ACCOUNTS + "test_second_step_is_offered_to_who_teaches_or_runs",
            ACCOUNTS + "test_app_as_second_step_is_set_up_and_asked_for",
            ACCOUNTS + "test_spare_code_stands_in_for_the_app_once",
        ),
    ),
    6: Rule(
        "6.4.1 6.4.3",
        "Links for a new password and invitations are random, used up, short-lived, "
        "and skip no second step.",
        (
            SECURITY + "test_reset_link_works_once_and_for_an_hour",
            SECURITY + "test_reset_does_not_skip_the_second_step",
            CLUBS + "test_last_place_is_given_once",
            CLUBS + "test_expired_link_gives_nothing",
            CLUBS + "test_withdrawn_link_gives_nothing",
        ),
    ),
    7: Rule(
        "6.3.8",
        "Answers to signing in, signing up and resetting do not tell who has an account.",
        (SECURITY + "test_answers_do_not_tell_who_has_an_account",),
    ),
    8: Rule(
        "7.2.4",
        "Signing in changes the session's id.",
        (SECURITY + "test_session_gets_a_new_id_at_sign_in",),
    ),
    9: Rule(
        "7.4.1 7.4.2",
        "Signing out and disabling a person end the session on the server.",
        (
            SECURITY + "test_signing_out_ends_the_session_on_the_server",
            SECURITY + "test_disabling_a_person_ends_their_session",
        ),
    ),
    10: Rule(
        "7.3.1 7.3.2 7.4.3",
        "Sessions end when idle and when old; a new password ends the others.",
        (
            SECURITY + "test_session_ends_when_idle_or_old",
            SECURITY + "test_new_password_ends_the_other_sessions",
        ),
    ),
    11: Rule(
        "3.3.1 3.3.2 3.3.3 3.3.4",
        "Cookies are for TLS, for no script, for this host, not for other sites.",
        (PRODUCTION + "test_every_cookie_is_out_of_reach",),
    ),
    12: Rule(
        "8.2.1",
        "Every address says who may use it; what it does not say is refused.",
        (
            ACCESS + "test_table_has_every_address_and_no_other",
            ACCESS + "test_address",
            ACCESS + "test_administration",
        ),
    ),
    13: Rule(
        "8.2.2",
        "Each object is fetched through what the person may reach.",
        (
            ACCESS + "test_address",
            CLUB_PAGES + "test_link_of_another_club_cannot_be_withdrawn",
            CLUB_PAGES + "test_roles_of_a_person_outside_the_club_are_not_found",
        ),
    ),
    14: Rule(
        "8.2.3 15.3.1",
        "Key, comments and other people's answers are in no response before the answer "
        "is in.",
        (
            KEPT + "test_key_is_in_no_response_before_the_answer_is_in",
            KEPT + "test_line_up_is_mixed_and_tells_nothing_of_the_key",
            KEPT + "test_others_answers_are_in_no_response",
            KEPT + "test_key_is_explained_once_the_answer_is_in",
        ),
    ),
    15: Rule(
        "15.3.3",
        "Forms name their fields; anything else that is posted is ignored.",
        (
            SECURITY + "test_sign_up_cannot_make_staff",
            SECURITY + "test_profile_takes_name_and_look_only",
            SECURITY + "test_club_forms_take_their_fields_only",
        ),
    ),
    16: Rule(
        "8.4.1",
        "Who leads one club reaches nothing of another.",
        (
            ACCESS + "test_address",
            CLUBS + "test_each_role_reaches_its_own_club_only",
        ),
    ),
    17: Rule(
        "2.3.1 2.3.3 2.3.4",
        "Things happen whole or not at all; the last place is given once, and what is "
        "handed in stays as it is.",
        (
            ATTEMPTS + "test_handing_in_twice_stores_once",
            ATTEMPTS + "test_what_is_handed_in_stays",
            CLUBS + "test_last_place_is_given_once",
            CLUBS + "test_last_organiser_cannot_step_down",
        ),
    ),
    18: Rule(
        "2.2.1 2.2.2",
        "The server checks everything that is sent, whatever the page has checked.",
        (
            ATTEMPTS + "test_answer_that_is_none_is_refused",
            ATTEMPTS + "test_more_dogs_than_places_are_refused",
            ATTEMPTS + "test_incomplete_is_refused_and_stays_a_draft",
            CLUB_PAGES + "test_impossible_link_is_refused_in_words",
            CLUBS + "test_database_refuses_what_the_services_refuse",
        ),
    ),
    19: Rule(
        "1.5.1",
        "XML is read without entities and document types, and only up to a size.",
        (
            RIGHTS + "test_hostile_xmp_says_nothing_and_costs_no_photograph",
            RIGHTS + "test_xmp_of_unusual_size_is_not_read",
        ),
    ),
    20: Rule(
        "5.2.1 5.2.2",
        "Uploads have a limit that is checked before they are read; name, beginning and "
        "content of a picture agree, and it is written anew.",
        (
            SECURITY + "test_large_body_is_refused_before_it_is_read",
            INTAKE + "test_large_file_is_refused_unread",
            INTAKE + "test_refused",
            FORMATS + "test_refused",
            FORMATS + "test_file_with_wrong_bytes_is_refused_or_a_photograph",
            INTAKE + "test_second_nature_of_a_file_is_gone",
            PICTURES + "test_sent_bytes_are_not_kept",
        ),
    ),
    21: Rule(
        "5.2.6",
        "Pictures have a limit of pixels that is checked before they are read.",
        (
            INTAKE + "test_refused",
            INTAKE + "test_header_decides_before_pixels_are_read",
            INTAKE + "test_text_bomb_in_a_png_is_refused",
        ),
    ),
    22: Rule(
        "14.2.8",
        "Pictures lose place, camera, comments and colour profile.",
        (
            INTAKE + "test_nothing_but_pixels_is_left",
            FORMATS + "test_nothing_but_pixels_is_left",
            TOOLS + "test_nothing_but_its_mean_survives_under_a_cover",
            PICTURE_PAGES + "test_what_is_kept_of_a_telling_file_is_pixels",
        ),
    ),
    23: Rule(
        "1.3.4",
        "No SVG from people, under whatever name.",
        (
            INTAKE + "test_refused",
            PICTURE_PAGES
            + "test_bad_file_is_refused_at_its_dog_and_all_that_was_typed_stays",
        ),
    ),
    24: Rule(
        "5.2.3",
        "Archives have limits of bytes, files and growth, read first and counted again.",
        (
            BUNDLES + "test_a_bomb_is_refused_by_what_its_directory_says",
            BUNDLES + "test_a_bomb_of_many_files_is_refused",
            BUNDLES + "test_too_many_files_are_refused",
            BUNDLES + "test_too_many_bytes_are_refused_unread",
            BUNDLES + "test_a_size_that_is_a_lie_is_refused",
            BUNDLES + "test_entries_over_each_other_are_refused",
        ),
    ),
    25: Rule(
        "5.3.3 5.3.2",
        "No name in an archive becomes a path; names that lead elsewhere are refused.",
        (
            BUNDLES + "test_names_that_lead_elsewhere_are_refused",
            BUNDLES + "test_a_name_with_a_nul_is_refused",
            BUNDLES + "test_twins_are_refused",
            BUNDLE_PAGES + "test_kept_file_has_a_name_of_ours",
        ),
    ),
    26: Rule(
        "5.2.5",
        "No links, devices, encrypted entries or archives in an archive.",
        (
            BUNDLES + "test_links_and_devices_are_refused",
            BUNDLES + "test_encrypted_entries_are_refused",
            BUNDLES + "test_archives_in_the_archive_are_refused",
            BUNDLES + "test_archives_under_another_name_are_refused",
        ),
    ),
    27: Rule(
        "1.5.2",
        "Nothing that is read can make objects: JSON and CSV, never pickles or YAML.",
        (SECURITY + "test_nothing_reads_what_makes_objects",),
    ),
    28: Rule(
        "5.3.1 3.2.1 5.4.1",
        "Uploads never run: kept under names of ours, sent as what they are, in a sandbox.",
        (
            PICTURES + "test_files_are_kept_under_names_that_say_nothing",
            PICTURE_PAGES + "test_picture_can_do_nothing_and_tells_nothing",
            PICTURE_PAGES + "test_kept_files_have_no_address_of_their_own",
            BUNDLE_PAGES + "test_kept_files_go_after_an_hour",
            BUNDLE_PAGES + "test_bundle_is_a_download_that_nothing_runs",
        ),
    ),
    29: Rule(
        "5.2.4",
        "A club's pictures have a limit in number and in bytes.",
        (
            PICTURES + "test_number_of_pictures_is_limited",
            PICTURES + "test_bytes_of_pictures_are_limited",
            PICTURE_PAGES + "test_full_club_is_told_so",
        ),
    ),
    30: Rule(
        "1.2.1 1.2.2 1.2.3 3.2.2",
        "What people write is text on every page, never markup.",
        (
            TEXT + "test_what_people_write_is_never_markup",
            TEXT + "test_what_is_taught_and_answered_is_never_markup",
        ),
    ),
    31: Rule(
        "1.3.1 1.3.5", "Rich text is cleaned.", not_yet="people write plain text only"
    ),
    32: Rule(
        "3.4.3 3.4.6",
        "Every page forbids scripts and frames from elsewhere, error pages too.",
        (
            PRODUCTION + "test_every_page_carries_the_content_policy",
            PRODUCTION + "test_no_page_has_inline_script_or_style",
        ),
    ),
    33: Rule(
        "3.4.1 3.4.4 3.4.5",
        "TLS for a year and for subdomains, no sniffing, no referrer to others.",
        (
            PRODUCTION + "test_every_page_carries_the_other_headers",
            PRODUCTION + "test_plain_http_leads_to_tls",
        ),
    ),
    34: Rule(
        "3.5.1 3.5.3",
        "Writes need the token of a page of ours; reading changes nothing.",
        (ACCESS + "test_address",),
    ),
    35: Rule(
        "3.7.2",
        "The way back after signing in stays on this site.",
        (SECURITY + "test_the_way_back_never_leaves_the_site",),
    ),
    36: Rule(
        "1.2.10",
        "Tables we write start no formula.",
        (
            "tests.grading.test_sheet::test_no_text_becomes_a_formula",
            RECORD_FILES + "test_no_cell_is_a_formula",
            JOINING + "test_a_workbook_is_read_as_well_and_nothing_becomes_a_formula",
        ),
    ),
    37: Rule(
        "1.3.11",
        "Nothing typed adds a header to a mail.",
        (
            SECURITY + "test_names_cannot_add_headers_to_mails",
            SECURITY + "test_addresses_are_one_address",
        ),
    ),
    38: Rule(
        "2.4.1 15.2.2",
        "Signing in, resetting, founding, inviting and taking data away have limits that say when to come "
        "back; a hall behind one address is not shut out.",
        (
            SECURITY + "test_failures_are_slowed_down_and_the_owner_still_gets_in",
            SECURITY + "test_a_hall_that_signs_in_from_one_address_is_not_slowed_down",
            SECURITY + "test_reset_mails_are_limited",
            CLUB_PAGES + "test_founding_many_clubs_is_slowed_down",
            "tests.views.test_record::test_downloads_are_limited",
        ),
    ),
    39: Rule(
        "6.5.3 6.5.4 6.6.3",
        "Short codes come from a random source, run out and cannot be guessed.",
        (
            SECURITY + "test_codes_by_mail_cannot_be_guessed",
            JOINING + "test_ten_wrong_codes_make_a_device_wait_and_not_its_hall",
            JOINING + "test_without_cookies_the_address_is_what_counts",
            JOINING + "test_right_codes_never_make_anybody_wait",
            "tests.models.test_seminars::test_a_code_that_is_over_says_no_more_than_a_wrong_one",
        ),
    ),
    40: Rule(
        "11.5.1",
        "Codes of links have 128 random bits or more; an unknown one tells nothing.",
        (
            CLUBS + "test_invitation_code_has_at_least_128_random_bits",
            SECURITY + "test_unknown_code_tells_nothing",
        ),
    ),
    41: Rule(
        "9.1.1 9.1.2 9.1.3 11.2.3 11.6.1",
        "Signed tokens name their algorithm and source.",
        not_yet="no tokens are issued or read",
    ),
    42: Rule(
        "4.1.3 15.3.4",
        "Where a request comes from is believed of trusted proxies only.",
        (SECURITY + "test_forged_forwarding_does_not_help",),
    ),
    43: Rule(
        "16.2.5 16.3.1 16.3.2 16.3.3 16.4.1",
        "Sign-ins, refusals and limits are logged; secrets and line breaks are not.",
        (
            LOGS + "test_log_tells_what_happened",
            LOGS + "test_log_holds_no_secrets",
            LOGS + "test_log_line_cannot_be_forged",
        ),
    ),
    44: Rule(
        "16.5.1 13.4.2",
        "Errors show a plain page; production does not start in an unsafe state.",
        (
            PRODUCTION + "test_broken_page_shows_no_trace",
            PRODUCTION + "test_deployment_check_is_clean",
            PRODUCTION + "test_production_does_not_start_without_a_key_of_its_own",
        ),
    ),
    45: Rule(
        "14.1.1 14.2.1 14.3.1 14.3.2",
        "Personal pages are not kept by browsers, but for what is read or under way, which goes with its reader; addresses hold no personal data.",
        (
            PRODUCTION + "test_personal_pages_are_not_kept",
            PLACES + "test_only_what_may_be_kept_says_so",
            OFFLINE + "test_pages_that_may_not_be_kept_are_not",
            OFFLINE + "test_signing_out_takes_the_kept_pages_away",
            OFFLINE + "test_another_person_on_the_device_finds_nothing_of_the_first",
            OFFLINE + "test_the_page_of_an_attempt_goes_when_it_is_handed_in",
            SECURITY + "test_addresses_hold_no_personal_data",
        ),
    ),
    46: Rule(
        "14.2.7",
        "People can take their data away and have it erased.",
        (
            RECORD_FILES
            + "test_every_table_that_points_at_a_person_is_in_the_document",
            RECORD_FILES + "test_secrets_are_in_no_file",
            RECORD_FILES + "test_nobody_elses_rows_are_in_it",
            RECORD_FILES + "test_key_stays_behind_until_the_answer_is_in",
            ERASING + "test_no_row_names_the_person_any_more",
            ERASING + "test_words_go_and_the_plain_answer_stays_of_nobody",
            ERASING + "test_sessions_end_everywhere_and_those_of_others_do_not",
            DELETE + "test_nothing_is_deleted_without_the_password",
            DELETE + "test_guessing_the_password_is_slowed_down",
        ),
    ),
}
