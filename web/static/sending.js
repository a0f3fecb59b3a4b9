// How a form or a tap is sent, where this page is, and what it says to the next.
export const SIGNED_OUT = 401;
const ANSWERS_WITHIN = 20000;

// `by`: who asks, by which the server tells what to answer with. Files may take longer than any limit.
export function post(address, body, by) {
  return fetch(address, {
    method: "POST",
    body,
    headers: { "X-Requested-With": by },
    signal: body instanceof FormData ? undefined : AbortSignal.timeout(ANSWERS_WITHIN),
  });
}

export const here = () => location.pathname + location.search;

export function signIn() {
  location.assign(`/sign-in?next=${encodeURIComponent(here())}`);
}

// A browser that keeps nothing only forgets where it was.
export function leave(mark, said) {
  try { sessionStorage.setItem(mark, said); } catch { /* the next page begins at its top */ }
}

export function left(mark) {
  try {
    const said = sessionStorage.getItem(mark) || "";
    sessionStorage.removeItem(mark);
    return said;
  } catch { return ""; }
}
