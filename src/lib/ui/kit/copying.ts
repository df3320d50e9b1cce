// Copies words for a person, and says how that went.

/**
 * Puts words on the clipboard.
 * @param what they are, for whoever has to copy them by hand: "link".
 * @returns a sentence: that they are copied, or what to do.
 */
export async function copied(words: string, what: string): Promise<string> {
  try {
    await navigator.clipboard.writeText(words);
    return 'Copied.';
  } catch {
    return `The browser does not let the page copy; select the ${what} and copy it yourself.`;
  }
}
