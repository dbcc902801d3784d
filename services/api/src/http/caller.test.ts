import type { Socket } from "node:net";
import { describe, expect, test } from "vitest";
import { nameCaller, normaliseAddress } from "./caller.ts";

describe("one caller has one name", () => {
  test.each([
    "192.0.2.7",
    " 192.0.2.7 ",
    "192.0.2.7:4711",
    "::ffff:192.0.2.7",
    "[::ffff:192.0.2.7]:80",
    "::FFFF:c000:207",
  ])("%s", (text) => {
    expect(normaliseAddress(text)).toBe("192.0.2.7");
  });

  test.each(["2001:db8::1", "2001:0DB8:0:0::2", "[2001:db8::3]:443", "2001:db8::4%eth0", "2001:db8:0:0:ffff::"])(
    "%s",
    (text) => {
      expect(normaliseAddress(text)).toBe("2001:db8:0:0::/64");
    },
  );

  test("a text that is not an address counts for the socket it came by", () => {
    const socket = { remoteAddress: "::ffff:10.0.0.1" } as Socket;
    for (const ip of ["nonsense", "", undefined, "1.2.3.4.5", "unknown, 8.8.8.8"])
      expect(nameCaller({ ip, socket })).toBe("10.0.0.1");
  });

  test("other addresses have other names", () => {
    expect(normaliseAddress("192.0.2.8")).not.toBe(normaliseAddress("192.0.2.7"));
    expect(normaliseAddress("2001:db8:0:1::1")).not.toBe(normaliseAddress("2001:db8::1"));
  });
});
