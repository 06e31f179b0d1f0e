"""The rules of a load written for a tablet: what ``static/js/grading/judge.js`` judges by, without the server."""
