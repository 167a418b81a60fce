// Signed out meanwhile, or the place taken away: a sentence, and a way on. What was typed is kept.

const GONE = "This paper is not open to you any more. What you typed stays in this browser; ask your tutor.";

/** Says why an answer refused, if it is one of these; false: it is something else. */
export function toldWhy(answer, say, where) {
  if (answer.status === 404) { say(GONE); return true; }
  if (answer.status !== 401 && answer.status !== 403) return false;
  say("You are signed out; what you typed is kept in this browser.");
  const link = document.createElement("a");
  link.href = document.getElementById("desk")?.dataset.signInUrl ?? "/";
  link.textContent = "Sign in again, and it is sent.";
  where.append(" ", link);
  return true;
}
