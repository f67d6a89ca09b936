"""Assessments: exercises put together by a mentor into something that is timed, with a mark to reach.

drafting.py the mentor's changes | tries.py begun, handed in, closed by time, released | making.py attempts at items
results.py what a try came to | figures.py what an assessment's items came to | forms.py
views.py the trainee's pages | desk.py, overseeing.py the mentor's | bar.py what stands above a player's page
"""
