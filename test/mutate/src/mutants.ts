import { changeCondition, changeExpression } from "./operators.ts";
import { listChildren, parseTypeScript, type SyntaxNode } from "./syntax.ts";

/** One wrong change of a source. */
export interface Mutant {
  file: string;
  start: number;
  end: number;
  /** Line of the source, from 1, and its text. */
  line: number;
  lineText: string;
  original: string;
  replacement: string;
}

/** All mutants of a source file, in the order of its text. */
export function listMutants(file: string, source: string): Mutant[] {
  const mutants: Mutant[] = [];
  const textOf = ({ start, end }: SyntaxNode) => source.slice(start, end);
  const visit = (node: SyntaxNode, parent: SyntaxNode | null, field: string) => {
    if (isLeftOut(node)) return;
    for (const replacement of changeNode(node, parent, field, textOf)) {
      const original = textOf(node);
      if (replacement === original) continue;
      mutants.push({ file, start: node.start, end: node.end, ...locate(source, node.start), original, replacement });
    }
    for (const { field: childField, child } of listChildren(node)) visit(child, node, childField);
  };
  visit(parseTypeScript(source), null, "");
  return mutants;
}

/** Types, imports and the texts of errors. */
function isLeftOut({ type }: SyntaxNode): boolean {
  const isType =
    type.startsWith("TS") && !["TSAsExpression", "TSSatisfiesExpression", "TSNonNullExpression"].includes(type);
  return isType || type === "ImportDeclaration" || type === "ThrowStatement" || type === "ExportAllDeclaration";
}

function changeNode(
  node: SyntaxNode,
  parent: SyntaxNode | null,
  field: string,
  textOf: (node: SyntaxNode) => string,
): string[] {
  if (parent === null || isPartOfSyntax(parent, field)) return [];
  const isCondition = field === "test" && (parent.type === "IfStatement" || parent.type === "ConditionalExpression");
  const isStatement = parent.type === "ExpressionStatement" && DROPPED_STATEMENTS.includes(node.type);
  return [
    ...changeExpression(node, textOf),
    ...(isCondition ? changeCondition(node, textOf) : []),
    ...(isStatement ? ["undefined"] : []),
  ];
}

const DROPPED_STATEMENTS = ["CallExpression", "AssignmentExpression", "AwaitExpression"];

/** True where the field of a node takes no expression: keys, assigned places, defaults that are told apart by type. */
function isPartOfSyntax({ type, computed, shorthand }: SyntaxNode, field: string): boolean {
  if (type === "Property" || type === "PropertyDefinition")
    return (field === "key" && computed !== true) || shorthand === true;
  if (type === "AssignmentExpression" || type === "AssignmentPattern") return field === "left";
  if (type === "ForOfStatement" || type === "ForInStatement") return field === "left";
  if (type === "TSAsExpression") return field === "typeAnnotation";
  return (
    type === "ChainExpression" || type === "ExportSpecifier" || type === "ObjectPattern" || type === "ArrayPattern"
  );
}

function locate(source: string, at: number): Pick<Mutant, "line" | "lineText"> {
  const before = source.slice(0, at).split("\n");
  return { line: before.length, lineText: source.split("\n")[before.length - 1].trim() };
}
