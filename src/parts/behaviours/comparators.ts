import { define, numbered } from "./define.js";

const alike = (a: string, b: string) => `!(${a} ^ ${b})`;

/** True while A is greater than B, bit 3 being the most. */
function greater(a: string, b: string): string {
  const decideAt = (n: number): string => {
    const here = `${a}${n} & !${b}${n}`;
    return n === 0 ? here : `(${here} | ${alike(`${a}${n}`, `${b}${n}`)} & (${decideAt(n - 1)}))`;
  };
  return decideAt(3);
}

const equal = numbered(0, 3, (n) => alike(`A${n}`, `B${n}`)).join(" & ");

export const comparatorBehaviours = [
  define({
    function: "688",
    title: "8-bit identity comparator; output low where P equals Q",
    inputs: "OE# P0..P7 Q0..Q7",
    outputs: "P=Q#",
    drives: {
      "P=Q#": `!(!OE# & ${numbered(0, 7, (n) => alike(`P${n}`, `Q${n}`)).join(" & ")})`,
    },
    aliases: {
      "E#": "OE#",
      "G#": "OE#",
      "A0..A7": "P0..P7",
      "B0..B7": "Q0..Q7",
      An: "P",
      Bn: "Q",
      Pn: "P",
      Qn: "Q",
      "Y#": "P=Q#",
    },
  }),
  /** 85: where the words are equal the cascade inputs decide; the last two rows of the table are the odd ones. */
  define({
    function: "85",
    title: "4-bit magnitude comparator",
    inputs: "A0..A3 B0..B3 A<Bin A=Bin A>Bin",
    outputs: "A>Bout A=Bout A<Bout",
    drives: {
      "A>Bout": `${greater("A", "B")} | ${equal} & !A<Bin & !A=Bin`,
      "A=Bout": `${equal} & A=Bin`,
      "A<Bout": `${greater("B", "A")} | ${equal} & !A>Bin & !A=Bin`,
    },
    aliases: { An: "A", Bn: "B" },
  }),
];
