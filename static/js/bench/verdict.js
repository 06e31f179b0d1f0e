// What is said of a fruit the moment it is kept, before the server has answered. The one place where a class found on the
// tablet itself is to be asked for.

export async function verdictOf(entry) {
  return { classWord: "Kept", line: `${entry.words}. Its class stands here when the server answers.` };
}
