import { isIP } from "node:net";
import type { Request } from "express";

/**
 * Name under which a caller's connections, streams and questions are counted: one for all spellings of an address, and
 * one for a /64 of IPv6, which is the least that a single customer holds. Behind trusted proxies the address is the one
 * that they state; what is not an address counts for the proxy itself.
 */
export function nameCaller(req: Pick<Request, "ip" | "socket">): string {
  return normaliseAddress(req.ip) ?? normaliseAddress(req.socket.remoteAddress) ?? "unknown";
}

/** The address without port, brackets, zone and notation; undefined for a text that is not an address. */
export function normaliseAddress(text: string | undefined): string | undefined {
  const bare = (text ?? "")
    .trim()
    .replace(/^\[(.*)\](?::\d+)?$/, "$1")
    .replace(/%.*$/, "");
  const address = isIP(bare) ? bare : bare.replace(/:\d+$/, "");
  if (isIP(address) === 4) return address;
  return isIP(address) === 6 ? normaliseIpv6(address) : undefined;
}

/** The IPv4 address that is mapped, or the first four groups. */
function normaliseIpv6(address: string): string {
  const groups = readGroups(address);
  const isMapped = groups.slice(0, 5).every((group) => group === 0) && groups[5] === 0xffff;
  if (isMapped)
    return groups
      .slice(6)
      .flatMap((group) => [group >> 8, group & 255])
      .join(".");
  return `${groups
    .slice(0, 4)
    .map((group) => group.toString(16))
    .join(":")}::/64`;
}

/** The eight groups of an address that isIP takes for IPv6. */
function readGroups(address: string): number[] {
  // The URL parser writes the dotted tail of a mapped address as two groups.
  const [head = "", tail] = new URL(`http://[${address}]`).hostname.slice(1, -1).split("::");
  const before = head === "" ? [] : head.split(":");
  const after = tail === undefined || tail === "" ? [] : tail.split(":");
  const zeros = Array.from({ length: 8 - before.length - after.length }, () => "0");
  return [...before, ...zeros, ...after].map((group) => Number.parseInt(group, 16));
}
