// A question asked a moment after the last letter; a newer one ends the older.
export function latest(wait, ask) {
  let timer = 0;
  let open = null;
  return () => {
    clearTimeout(timer);
    timer = setTimeout(() => {
      if (open) open.abort();
      open = new AbortController();
      ask(open.signal);
    }, wait);
  };
}
