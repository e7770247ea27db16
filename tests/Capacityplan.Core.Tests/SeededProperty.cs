using CsCheck;

namespace Capacityplan.Core.Tests;

/// <summary>Property checks that try the same cases on every run.</summary>
internal static class SeededProperty
{
    /// <summary>
    /// Checks one property on <paramref name="count"/> drawn cases. CsCheck seeds its first sample only, so all cases are drawn
    /// as that one sample.
    /// </summary>
    public static void ForAll<T>(this Gen<T> gen, Action<T> check, int count = 1000) =>
        gen.Array[count].Sample(
            cases =>
            {
                foreach (T one in cases)
                    check(one);
            },
            seed: "0N0XIzNsQ0O2", iter: 1, threads: 1, print: _ => "see the failed assertion");
}
