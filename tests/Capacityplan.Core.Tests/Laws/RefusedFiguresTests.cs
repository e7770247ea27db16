using System.Reflection;
using Capacityplan.Core.Laws;

namespace Capacityplan.Core.Tests.Laws;

/// <summary>Every public law refuses NaN and infinity, a law added tomorrow too: they are found by reflection.</summary>
public sealed class RefusedFiguresTests
{
    // Figures to build one allowed call from; the first combination that a law accepts is used.
    private static readonly double[] s_allowed = [0.5, 1, 2, 3];

    public static TheoryData<string> Laws() => [.. LawMethods().Select(Describe)];

    [Fact]
    public void Laws_OfTheNamespace_AreFound() => Assert.True(LawMethods().Count() > 20);

    [Theory]
    [MemberData(nameof(Laws))]
    public void Law_NanOrInfinityInAnyPlace_IsRefusedByName(string law)
    {
        MethodInfo method = LawMethods().Single(candidate => Describe(candidate) == law);
        object[] allowed = AllowedCall(method);
        foreach (ParameterInfo parameter in method.GetParameters().Where(p => p.ParameterType == typeof(double)))
        {
            foreach (double refused in new[] { double.NaN, double.PositiveInfinity, double.NegativeInfinity })
            {
                object[] call = [.. allowed];
                call[parameter.Position] = refused;
                Exception? thrown = Assert.Throws<TargetInvocationException>(() => method.Invoke(null, call)).InnerException;
                Assert.Equal(parameter.Name, Assert.IsType<ArgumentOutOfRangeException>(thrown).ParamName);
            }
        }
    }

    private static IEnumerable<MethodInfo> LawMethods() =>
        typeof(Amdahl).Assembly.GetExportedTypes()
            .Where(type => type.Namespace == typeof(Amdahl).Namespace)
            .SelectMany(type => type.GetMethods(BindingFlags.Public | BindingFlags.Static | BindingFlags.DeclaredOnly))
            .Where(method => method.GetParameters().Any(parameter => parameter.ParameterType == typeof(double)));

    private static string Describe(MethodInfo method) =>
        $"{method.DeclaringType!.Name}.{method.Name}({string.Join(", ", method.GetParameters().Select(p => p.Name))})";

    private static object[] AllowedCall(MethodInfo method)
    {
        int count = method.GetParameters().Length;
        int combinations = (int)Math.Pow(s_allowed.Length, count);
        for (int combination = 0; combination < combinations; combination++)
        {
            object[] call = new object[count];
            for (int place = 0, rest = combination; place < count; place++, rest /= s_allowed.Length)
                call[place] = s_allowed[rest % s_allowed.Length];
            try
            {
                object? answer = method.Invoke(null, call);
                Assert.True(answer is double figure && double.IsFinite(figure), $"{Describe(method)} answered {answer}.");
                return call;
            }
            catch (TargetInvocationException refusal) when (refusal.InnerException is ArgumentOutOfRangeException)
            {
                // Not an allowed combination; the next one.
            }
        }

        throw new InvalidOperationException($"No combination of the allowed figures suits {Describe(method)}; add one.");
    }
}
