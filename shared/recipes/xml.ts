// XML as a tree that keeps what it read to the letter: comments, CDATA, the order of everything and how each
// sign is written, so that a document goes out as it came. Texts are decoded where they are asked for; no
// document type is read, so that there is no entity but the five of XML and signs by their number.
import { XMLBuilder, XMLParser, XMLValidator } from 'fast-xml-parser';
import { failure, success, type Outcome } from '#shared/outcome.ts';

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
});
const builder = new XMLBuilder({ ...HOW, processEntities: false, suppressEmptyNode: false });

/** Reads a document. Fails where it is not well formed or brings a document type of its own. */
export function readXml(text: string): Outcome<XmlTree> {
  if (/<!(?:DOCTYPE|ENTITY)/i.test(text)) {
    const cure = 'Remove the line that begins with <!DOCTYPE: recipes need none';
    return failure({ path: '', message: 'the file brings a document type of its own', cure });
  }
  const sound = XMLValidator.validate(text, { allowBooleanAttributes: false });
  if (sound !== true) {
    const { line, col, msg } = sound.err;
    const message = `it is no sound XML at line ${line}, column ${col}: ${msg.replace(/\.$/, '')}`;
    return failure({ path: '', message, cure: 'Export the recipe again' });
  }
  try {
    return success(parser.parse(text) as XmlTree);
  } catch (fault) {
    const why = fault instanceof Error ? fault.message : String(fault);
    return failure({
      path: '',
      message: `it is no XML read here: ${why}`,
      cure: 'Export it again',
    });
  }
}

/** The document as text, told to be UTF-8: that is how we write files. */
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

/** The elements of a name inside another, in their order; names are told apart by letters, not their case. */
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
