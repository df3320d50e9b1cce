// XML as a tree that keeps what it read to the letter: comments, CDATA, the order of everything and how each
// sign is written, so that a document goes out as it came. Texts are decoded where they are asked for; no
// document type is read, so that there is no entity but the five of XML and signs by their number.
import { XMLBuilder, XMLParser, XMLValidator } from 'fast-xml-parser';
import { failure, reasonOf, success, type Outcome } from '#shared/outcome.ts';

/** One node: a single name with its children, or `#text` with a text; `:@` holds attributes. */
export type XmlNode = Readonly<Record<string, unknown>>;
export type XmlTree = readonly XmlNode[];

const TEXT = '#text';
const ATTRIBUTES = ':@';
/** Deepest nesting read; the standard's own documents need 8. */
const DEPTH_MAX = 64;

const HOW = {
  preserveOrder: true,
  ignoreAttributes: false,
  attributeNamePrefix: '',
  commentPropName: '#comment',
  cdataPropName: '#cdata',
} as const;
const parser = new XMLParser({
  ...HOW,
  parseTagValue: false,
  parseAttributeValue: false,
  trimValues: false,
  processEntities: false,
  maxNestedTags: DEPTH_MAX,
  // The name of an element is the only key of its own node, so it can hide nothing. Names of prototypes are refused.
  onDangerousProperty: (name) => name,
});
const builder = new XMLBuilder({ ...HOW, processEntities: false, suppressEmptyNode: false });

/** How a document may say that it is XML, if it does. */
const DECLARATION =
  /^\uFEFF?\s*<\?xml\s+version\s*=\s*(["'])1\.\d\1(?:\s+encoding\s*=\s*(["'])[\w.:-]+\2)?(?:\s+standalone\s*=\s*(["'])(?:yes|no)\3)?\s*\?>/;

/** An instruction whose parts are kept: a name, and names with values in quotes. */
const INSTRUCTION = /^<\?xml[\w-]*(?:\s+[\w.:-]+\s*=\s*(?:"[^"<]*"|'[^'<]*'))*\s*\?>$/;

/** Every instruction of a document, from <? to ?>. */
function instructions(markup: string): string[] {
  return markup.match(/<\?[\s\S]*?\?>/g) ?? [];
}

interface Markup {
  /** A document without its comments and CDATA, in which anything may stand. */
  readonly markup: string;
  /** Whether no comment holds two dashes but those that end it. */
  readonly dashesPair: boolean;
}

function markupOf(text: string): Markup {
  const begin = /<!--|<!\[CDATA\[/g;
  const parts: string[] = [];
  let from = 0;
  let dashesPair = true;
  for (let found = begin.exec(text); found; found = begin.exec(text)) {
    const isComment = found[0] === '<!--';
    const end = text.indexOf(isComment ? '-->' : ']]>', begin.lastIndex);
    parts.push(text.slice(from, found.index));
    if (end < 0) return { markup: parts.join(''), dashesPair };
    if (isComment && /--|-$/.test(text.slice(begin.lastIndex, end))) dashesPair = false;
    from = begin.lastIndex = end + 3;
  }
  return { markup: [...parts, text.slice(from)].join(''), dashesPair };
}

/** Why a text is refused that the parser would read: the parser loses what it does not know. */
function unreadable(whole: string): Outcome<never> | null {
  const { markup: text, dashesPair } = markupOf(whole);
  if (/<!(?:DOCTYPE|ENTITY)/i.test(text)) {
    const cure = 'Remove the line that begins with <!DOCTYPE: recipes need none';
    return failure({ path: '', message: 'the file declares a document type', cure });
  }
  if (/^\uFEFF?\s*<\?xml\s/.test(text) && !DECLARATION.test(text)) {
    const cure = 'Begin it with <?xml version="1.0" encoding="UTF-8"?>';
    return failure({ path: '', message: 'its first line is no valid XML declaration', cure });
  }
  const strange = /<!\S{0,20}/.exec(text)?.[0];
  if (strange !== undefined) {
    const message = `"${strange}" begins neither a comment nor CDATA`;
    return failure({ path: '', message, cure: 'Write &lt; for a < that is meant as such' });
  }
  const apart = /<\/?\s+\S{0,20}/.exec(text)?.[0];
  if (apart !== undefined) {
    const message = `"${apart}" has a blank before the name of its element`;
    return failure({ path: '', message, cure: 'Remove the blank, or write &lt; for the < itself' });
  }
  if (!dashesPair) {
    const message = 'a comment holds -- inside it, which XML does not allow';
    return failure({ path: '', message, cure: 'Write one - in its place' });
  }
  const unclear = instructions(text).find((of) => !INSTRUCTION.test(of));
  if (unclear !== undefined) {
    const message = `the instruction ${unclear.slice(0, 40)} holds more than names with values`;
    return failure({ path: '', message, cure: 'Remove what stands between <? and ?>' });
  }
  if (text.slice(text.lastIndexOf('>') + 1).trim() !== '') {
    const message = 'there is text after the end of the recipe';
    return failure({ path: '', message, cure: 'Remove what follows the last >' });
  }
  const other = /<\?(?!xml[\s-])[^\s?>]*/.exec(text)?.[0];
  if (other === undefined) return null;
  const message = `the file holds an instruction for another program, ${other.slice(0, 40)}`;
  return failure({ path: '', message, cure: 'Remove what stands between <? and ?>' });
}

/** Reads a document. Fails where it is not well formed or brings a document type of its own. */
export function readXml(text: string): Outcome<XmlTree> {
  const refusal = unreadable(text);
  if (refusal) return refusal;
  const sound = XMLValidator.validate(text, { allowBooleanAttributes: false });
  if (sound !== true) {
    const { line, col, msg } = sound.err;
    const message = `it is not well-formed XML at line ${line}, column ${col}: ${msg.replace(/\.$/, '')}`;
    return failure({ path: '', message, cure: 'Export the recipe again' });
  }
  try {
    const tree = parser.parse(text) as XmlTree;
    const roots = tree.filter((node) => !/^[#?]/.test(nameOf(node)));
    if (roots.length <= 1) return success(tree);
    const message = `it is not well-formed XML: ${nameOf(roots[1]!)} stands beside ${nameOf(roots[0]!)}`;
    return failure({ path: '', message, cure: 'Export the recipe again' });
  } catch (fault) {
    const why = reasonOf(fault);
    return failure({
      path: '',
      message: `it is XML that cannot be read here: ${why}`,
      cure: 'Export it again',
    });
  }
}

/** The document as text, declared as UTF-8, in which we write files. */
export function xmlText(tree: XmlTree): string {
  const text = builder.build(tree as XmlNode[]);
  return text.replace(/^(<\?xml[^>]*?\bencoding=)(["'])[^"']*\2/, '$1"UTF-8"');
}

/** The name of a node; `#text`, `#comment` or `#cdata` for one that is no element. */
export function nameOf(node: XmlNode): string {
  return Object.keys(node).find((key) => key !== ATTRIBUTES) ?? '';
}

/** What stands inside an element. */
export function childrenOf(node: XmlNode): XmlTree {
  const children = node[nameOf(node)];
  return Array.isArray(children) ? (children as XmlTree) : [];
}

/** The elements of a name inside another, in their order; names are compared without regard to case. */
export function elements(children: XmlTree, name: string): XmlNode[] {
  return children.filter((node) => nameOf(node).toUpperCase() === name);
}

const NAMED: Readonly<Record<string, string>> = {
  lt: '<',
  gt: '>',
  amp: '&',
  quot: '"',
  apos: "'",
};
const REFERENCE = /&(?:#(\d{1,7})|#x([\da-f]{1,6})|([a-z]+));/giu;
const LAST_SIGN = 0x10ffff;

function decoded(text: string): string {
  return text.replace(REFERENCE, (whole, decimal?: string, hex?: string, name?: string) => {
    if (name !== undefined) return Object.hasOwn(NAMED, name) ? NAMED[name]! : whole;
    const sign = decimal === undefined ? parseInt(hex!, 16) : Number(decimal);
    return sign <= LAST_SIGN ? String.fromCodePoint(sign) : whole;
  });
}

function encoded(text: string): string {
  return text.replace(/[&<>]/g, (sign) =>
    sign === '&' ? '&amp;' : sign === '<' ? '&lt;' : '&gt;',
  );
}

/** The text inside an element, blanks around it cut; CDATA counts as text. */
export function textIn(children: XmlTree): string {
  const part = (node: XmlNode): string => {
    const name = nameOf(node);
    if (name === TEXT) return decoded(String(node[TEXT]));
    return name === '#cdata'
      ? childrenOf(node)
          .map((text) => String(text[TEXT]))
          .join('')
      : '';
  };
  return children.map(part).join('').trim();
}

/** An element that holds a text. */
export function element(name: string, text: string): XmlNode {
  return { [name]: text === '' ? [] : [{ [TEXT]: encoded(text) }] };
}

/** An element that holds others. */
export function group(name: string, children: XmlTree): XmlNode {
  return { [name]: children };
}

/** The same element with other children; its attributes stay. */
export function withChildren(node: XmlNode, children: XmlTree): XmlNode {
  return { ...node, [nameOf(node)]: children };
}

/** Children with one element put in place of the first of its name, else behind the last. */
export function withElement(children: XmlTree, made: XmlNode): XmlTree {
  const name = nameOf(made);
  const at = children.findIndex((node) => nameOf(node).toUpperCase() === name);
  return at < 0 ? [...children, made] : children.map((node, i) => (i === at ? made : node));
}
