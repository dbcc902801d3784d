import { isSyntaxNode, type SyntaxNode } from "./syntax.ts";

/** Text of a node of the source. */
export type TextOf = (node: SyntaxNode) => string;

/** Operators and what each becomes. */
const SWAPPED: Record<string, string> = {
  ...{ "+": "-", "-": "+", "*": "/", "/": "*", "%": "*", "**": "*" },
  ...{ "<": "<=", "<=": "<", ">": ">=", ">=": ">", "===": "!==", "!==": "===" },
  ...{ "<<": ">>", ">>": "<<", ">>>": "<<", "&": "|", "|": "&", "^": "&" },
  ...{ "&&": "||", "||": "&&" },
  ...{ "+=": "-=", "-=": "+=", "*=": "/=", "/=": "*=" },
};

/** Comparisons also turn round. */
const REVERSED: Record<string, string> = { "<": ">=", "<=": ">", ">": "<=", ">=": "<" };

/** Functions of Math and of arrays and what each becomes. */
const OTHER_CALL: Record<string, string> = {
  ...{ min: "max", max: "min", floor: "ceil", ceil: "floor", round: "floor", sin: "cos", cos: "sin" },
  ...{ some: "every", every: "some", findIndex: "findLastIndex", findLastIndex: "findIndex" },
};

const OPERATORS: Record<string, (node: SyntaxNode, textOf: TextOf) => string[]> = {
  BinaryExpression: swapOperator,
  LogicalExpression: (node, textOf) =>
    node.operator === "??" ? [textOf(node.left as SyntaxNode)] : swapOperator(node, textOf),
  AssignmentExpression: swapOperator,
  UnaryExpression: ({ operator, argument }, textOf) =>
    operator === "-" || operator === "!" ? [textOf(argument as SyntaxNode)] : [],
  UpdateExpression: stepBack,
  Literal: changeLiteral,
  CallExpression: changeCall,
  ArrayExpression: ({ elements }, textOf) => dropEach(elements, textOf, ["[", "]"]).slice(-1),
  ObjectExpression: ({ properties }, textOf) => dropEach(properties, textOf, ["({", "})"]),
};

/** Texts that may stand for an expression, each of them wrong. */
export function changeExpression(node: SyntaxNode, textOf: TextOf): string[] {
  return OPERATORS[node.type]?.(node, textOf) ?? [];
}

/** Texts that may stand for a condition, each of them wrong. */
export function changeCondition(node: SyntaxNode, textOf: TextOf): string[] {
  return ["true", "false", `!(${textOf(node)})`];
}

function swapOperator(node: SyntaxNode, textOf: TextOf): string[] {
  const [left, right] = [node.left as SyntaxNode, node.right as SyntaxNode];
  const operator = String(node.operator);
  if (operator === "+" && [left, right].some(isText)) return [];
  return [SWAPPED[operator], REVERSED[operator]]
    .filter((other) => other !== undefined)
    .map((other) => `${textOf(left)} ${other} ${textOf(right)}`);
}

function isText({ type, value }: SyntaxNode): boolean {
  return type === "TemplateLiteral" || (type === "Literal" && typeof value === "string");
}

function stepBack({ operator, prefix, argument }: SyntaxNode, textOf: TextOf): string[] {
  const other = operator === "++" ? "--" : "++";
  const text = textOf(argument as SyntaxNode);
  return [prefix === true ? `${other}${text}` : `${text}${other}`];
}

/** 0 and 1 change places, so that an index or a share becomes the other; other numbers move a little. */
function changeLiteral({ value }: SyntaxNode): string[] {
  if (typeof value === "boolean") return [String(!value)];
  if (typeof value !== "number") return [];
  if (value === 0) return ["1"];
  if (value === 1) return ["0"];
  return [String(Number.isInteger(value) ? value + 1 : value * 1.1)];
}

function changeCall(node: SyntaxNode, textOf: TextOf): string[] {
  const callee = node.callee as SyntaxNode;
  const args = node.arguments as SyntaxNode[];
  if (callee.type !== "MemberExpression" || node.optional === true) return [];
  const property = callee.property as SyntaxNode;
  const name = String(property.name);
  const list = args.map(textOf).join(", ");
  if (name === "abs") return [list];
  const other = Object.hasOwn(OTHER_CALL, name) ? OTHER_CALL[name] : undefined;
  return other === undefined ? [] : [`${textOf(callee.object as SyntaxNode)}.${other}(${list})`];
}

/** The list without one of its members, for each of them. */
function dropEach(members: unknown, textOf: TextOf, [open, close]: readonly [string, string]): string[] {
  const nodes = (members as unknown[]).filter(isSyntaxNode);
  if (nodes.length < 2) return [];
  return nodes.map((dropped) => {
    const kept = nodes.filter((node) => node !== dropped);
    return `${open}${kept.map(textOf).join(", ")}${close}`;
  });
}
