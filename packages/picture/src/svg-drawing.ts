import { toCss } from "./colour.ts";
import { type DotsMark, type Drawing, HALO_PX, INKS, type Mark, type PathMark, type TextMark } from "./display-list.ts";

/** Letters like those of the PNG, or others as wide or narrower. */
const FAMILY = "DejaVu Sans, Verdana, Helvetica, Arial, sans-serif";

/** A drawing as a whole SVG that refers to nothing outside of it and holds no ids, so several fit into one page. */
export function renderSvg({ widthPx, heightPx, title, marks }: Drawing): string {
  const size = `viewBox="0 0 ${toTenths(widthPx)} ${toTenths(heightPx)}" width="${toTenths(widthPx)}" height="${toTenths(heightPx)}"`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" ${size} role="img" font-family="${FAMILY}">`,
    `<title>${escapeXml(title)}</title>`,
    `<rect width="${toTenths(widthPx)}" height="${toTenths(heightPx)}" fill="${toCss(INKS.paper)}"/>`,
    ...marks.map(renderMark),
    "</svg>\n",
  ].join("\n");
}

function renderMark(mark: Mark): string {
  if (mark.kind === "path") return renderPath(mark);
  return mark.kind === "dots" ? renderDots(mark) : renderText(mark);
}

function renderPath({ lines, stroke, widthPx, dash, isClosed }: PathMark): string {
  const d = lines.map((line) => `M${line.map(toTenths).join(" ")}${isClosed ? "Z" : ""}`).join("");
  const dashes = dash ? ` stroke-dasharray="${dash.join(" ")}"` : "";
  return `<path d="${d}" fill="none" stroke="${toCss(INKS[stroke])}" stroke-width="${widthPx}" stroke-linejoin="round"${dashes}/>`;
}

/** Dots without a rim are the round ends of lines without a length: one path however many there are. */
function renderDots({ centres, radiusPx, fill, stroke }: DotsMark): string {
  const places = Array.from({ length: centres.length / 2 }, (_, dot) => [centres[2 * dot], centres[2 * dot + 1]]);
  if (stroke === undefined) {
    const d = places.map(([x, y]) => `M${toTenths(x)} ${toTenths(y)}h0`).join("");
    return `<path d="${d}" stroke="${toCss(INKS[fill])}" stroke-width="${2 * radiusPx}" stroke-linecap="round"/>`;
  }
  const look = `r="${radiusPx}" fill="${toCss(INKS[fill])}" stroke="${toCss(INKS[stroke])}" stroke-width="1.5"`;
  return places.map(([x, y]) => `<circle cx="${toTenths(x)}" cy="${toTenths(y)}" ${look}/>`).join("");
}

function renderText({ x, y, text, sizePx, ink, weight, anchor, hasHalo, isUpright }: TextMark): string {
  const place = `x="${toTenths(x)}" y="${toTenths(y)}" font-size="${sizePx}" fill="${toCss(INKS[ink])}"`;
  const looks = [
    weight === "bold" ? ' font-weight="bold"' : "",
    anchor && anchor !== "start" ? ` text-anchor="${anchor}"` : "",
    isUpright ? ` transform="rotate(-90 ${toTenths(x)} ${toTenths(y)})"` : "",
    hasHalo
      ? ` paint-order="stroke" stroke="${toCss(INKS.paper)}" stroke-width="${HALO_PX}" stroke-linejoin="round"`
      : "",
  ];
  return `<text ${place}${looks.join("")}>${escapeXml(text)}</text>`;
}

/** A coordinate to a tenth of a pixel, never "-0". */
function toTenths(px: number): string {
  return String(Math.round(10 * px) / 10 + 0);
}

const ENTITIES: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&apos;" };

function escapeXml(text: string): string {
  return text.replace(/[&<>"']/g, (character) => ENTITIES[character]);
}
