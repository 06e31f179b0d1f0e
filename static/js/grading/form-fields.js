// The bench form's fields, as new FormData(form) gives them, sorted into what is typed of a fruit; and back, the field of
// the form that something said of a fruit belongs to.

const [MARK, TAKEN, SEEN, STATE] = ["mark-", "taken-", "seen", "state"];
const OWN = ["weight", "stage", "size_code"];

// A field that stands twice counts as it stands last; ticks count each.
export function typedOf(fields) {
  const typed = { weight: "", stage: "", size_code: "", marks: {}, ticked: [], states: {}, measures: {} };
  for (const [name, text] of fields) {
    if (OWN.includes(name)) typed[name] = text;
    else if (name.startsWith(MARK)) typed.marks[name.slice(MARK.length)] = text;
    else if (name.startsWith(TAKEN)) typed.measures[name.slice(TAKEN.length)] = text;
    else if (name === SEEN) typed.ticked.push(text);
    else if (name === STATE) (typed.states[kindOf(text)] ??= []).push(text.slice(kindOf(text).length + 1));
  }
  return typed;
}

const kindOf = (value) => value.split(":", 1)[0];

export function fieldOf(rules, name) {
  if (OWN.includes(name)) return name;
  return (Object.hasOwn(rules.measures, name) ? TAKEN : MARK) + name;
}
