// The fields of a form that somebody fills in: what is typed there now, and putting it back. Hidden fields,
// files and passwords are none of them.
const NOT = ["hidden", "file", "password", "submit", "button", "reset", "image"];
const TAPPED = ["checkbox", "radio"];

function fields(form) {
  return [...form.elements].filter((one) => one.name && !one.disabled && !NOT.includes(one.type) && one.tagName !== "FIELDSET");
}

export function hasFields(form) {
  return fields(form).length > 0;
}

function valuesOf(one) {
  if (TAPPED.includes(one.type)) return one.checked ? [one.value] : [];
  if (one.tagName === "SELECT") return [...one.selectedOptions].map((option) => option.value);
  return [one.value];
}

export function typedIn(form) {
  return fields(form).flatMap((one) => valuesOf(one).map((value) => [one.name, value]));
}

function put(one, values) {
  if (TAPPED.includes(one.type)) one.checked = values.includes(one.value);
  else if (one.tagName === "SELECT") for (const option of one.options) option.selected = values.includes(option.value);
  else if (values.length) one.value = values.shift();
}

// Fold and field of what was put back are opened; fields that are not there any more are passed over.
export function putBack(form, typed) {
  const left = new Map();
  for (const [name, value] of typed) left.set(name, [...(left.get(name) || []), value]);
  for (const one of fields(form)) {
    const before = String(valuesOf(one));
    put(one, left.get(one.name) || []);
    if (String(valuesOf(one)) === before) continue;
    for (let fold = one.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }
}
