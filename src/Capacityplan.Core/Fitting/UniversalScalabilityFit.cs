using Capacityplan.Core.Laws;
using MathNet.Numerics;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearRegression;
using MathNet.Numerics.Optimization;

namespace Capacityplan.Core.Fitting;

/// <summary>A measured rate: so many cores (or so much load), so much done in a unit of time.</summary>
/// <param name="Cores">p, cores' worth; 1 or more.</param>
/// <param name="Rate">X(p), things done in a unit of time, any unit; above 0.</param>
public readonly record struct MeasuredRate(double Cores, double Rate);

/// <summary>
/// The universal scalability law X(p) = rate p/(1 + a (p - 1) + b p (p - 1)) fitted to measured rates, a and b never negative.
/// </summary>
/// <remarks>
/// N. J. Gunther, "Guerrilla Capacity Planning", Springer, 2007. Coefficients of one set of measurements differ by the
/// method they were fitted with, by a factor of 2 and more, so the method is named: it is which of the three was called.
/// Each weighs every measurement alike, whatever its core count.
/// </remarks>
public sealed record UniversalScalabilityFit
{
    private UniversalScalabilityFit(double contention, double coherency, double rate)
    {
        Contention = contention;
        Coherency = coherency;
        Rate = rate;
    }

    /// <summary>a; 0 or more.</summary>
    public double Contention { get; }

    /// <summary>b; 0 or more.</summary>
    public double Coherency { get; }

    /// <summary>The rate on one core, in the unit of the measurements; above 0.</summary>
    public double Rate { get; }

    /// <summary>Where the rate is largest, cores; null where it rises with every core.</summary>
    public double? PeakCores => UniversalScalability.PeakCores(Contention, Coherency);

    /// <summary>The fitted rate, in the unit of the measurements.</summary>
    /// <param name="cores">p, cores' worth; 1 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">The core count is NaN, infinite or below 1.</exception>
    public double RateAt(double cores) => Rate * UniversalScalability.Capacity(Contention, Coherency, cores);

    /// <summary>
    /// Linearised least squares through the origin: p/C(p) - 1 = a (p - 1) + b p (p - 1) with C(p) = X(p)/X(1), which is the
    /// often quoted quadratic in p - 1 written with a and b. Weighs the largest core counts most.
    /// </summary>
    /// <param name="measured">One rate or more on one core (their mean is X(1)) and two further core counts or more.</param>
    /// <exception cref="ArgumentException">There is no rate on one core, or there are too few core counts.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static UniversalScalabilityFit Linearised(IReadOnlyList<MeasuredRate> measured)
    {
        RequireCoreCounts(measured);
        double rate = RateOnOneCore(measured);
        MeasuredRate[] further = [.. measured.Where(m => m.Cores > 1)];
        Vector<double> deviation = Vector<double>.Build.Dense(further.Length, i => further[i].Cores / (further[i].Rate / rate) - 1);
        Matrix<double> waits = Matrix<double>.Build.Dense(
            further.Length, 2, (i, j) => (further[i].Cores - 1) * (j == 0 ? 1 : further[i].Cores));

        Candidate best = Candidate.None;
        foreach (Face face in s_faces)
        {
            Vector<double> parameters = Vector<double>.Build.Dense(2);
            int[] free = [.. Enumerable.Range(0, 2).Where(j => j == 0 ? !face.NoContention : !face.NoCoherency)];
            if (free.Length > 0)
            {
                Matrix<double> columns = Matrix<double>.Build.DenseOfColumnVectors(free.Select(waits.Column));
                Vector<double> solved = MultipleRegression.QR(columns, deviation);
                for (int j = 0; j < free.Length; j++)
                    parameters[free[j]] = solved[j];
            }

            best = best.OrBetter(parameters[0], parameters[1], rate, (waits * parameters - deviation).L2Norm());
        }

        return best.ToFit();
    }

    /// <summary>
    /// Nonlinear least squares on C(p) = X(p)/X(1) with two free parameters, a and b; the rate is held at X(1).
    /// </summary>
    /// <param name="measured">One rate or more on one core (their mean is X(1)) and two further core counts or more.</param>
    /// <exception cref="ArgumentException">There is no rate on one core, or there are too few core counts.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    /// <exception cref="NonConvergenceException">The iteration did not settle.</exception>
    public static UniversalScalabilityFit RateHeldAtOneCore(IReadOnlyList<MeasuredRate> measured) =>
        Nonlinear(measured, Linearised(measured), rateIsFree: false);

    /// <summary>Nonlinear least squares on X(p) with three free parameters: a, b and the rate on one core.</summary>
    /// <param name="measured">Rates on three core counts or more; one core need not be among them.</param>
    /// <exception cref="ArgumentException">There are too few core counts.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    /// <exception cref="NonConvergenceException">The iteration did not settle.</exception>
    public static UniversalScalabilityFit ThreeParameters(IReadOnlyList<MeasuredRate> measured)
    {
        RequireCoreCounts(measured);
        // Start with no coherency and the contention that joins the best rate a core to the rate at the most cores.
        double ratePerCore = measured.Max(m => m.Rate / m.Cores);
        MeasuredRate most = measured.MaxBy(m => m.Cores);
        double contention = (ratePerCore * most.Cores / most.Rate - 1) / (most.Cores - 1);
        return Nonlinear(measured, new UniversalScalabilityFit(contention, 0, ratePerCore), rateIsFree: true);
    }

    // The least squares under a >= 0, b >= 0 lie inside the quarter plane or on one of its edges or in its corner, and are
    // the unconstrained least squares there.
    private static readonly Face[] s_faces = [new(false, false), new(false, true), new(true, false), new(true, true)];

    private static UniversalScalabilityFit Nonlinear(
        IReadOnlyList<MeasuredRate> measured, UniversalScalabilityFit start, bool rateIsFree)
    {
        Vector<double> cores = Vector<double>.Build.DenseOfEnumerable(measured.Select(m => m.Cores));
        // In units of the starting rate, so that all three parameters are of modest size.
        Vector<double> relative = Vector<double>.Build.DenseOfEnumerable(measured.Select(m => m.Rate / start.Rate));

        Candidate best = Candidate.None;
        foreach (Face face in s_faces)
        {
            Vector<double> guess = Vector<double>.Build.DenseOfArray(
                [face.NoContention ? 0 : start.Contention, face.NoCoherency ? 0 : start.Coherency, 1]);
            bool[] isFixed = [face.NoContention, face.NoCoherency, !rateIsFree];
            Vector<double> parameters = isFixed.All(held => held) ? guess : Minimise(cores, relative, guess, isFixed);
            best = best.OrBetter(
                parameters[0], parameters[1], parameters[2] * start.Rate, (RelativeRates(parameters, cores) - relative).L2Norm());
        }

        return best.ToFit();
    }

    private static Vector<double> Minimise(Vector<double> cores, Vector<double> relative, Vector<double> guess, bool[] isFixed)
    {
        const double Tolerance = 1e-15;
        const int MostIterations = 2000;
        IObjectiveModel model = ObjectiveFunction.NonlinearModel(RelativeRates, Slopes, cores, relative);
        var minimizer = new LevenbergMarquardtMinimizer(
            initialMu: 1e-3, gradientTolerance: Tolerance, stepTolerance: Tolerance, functionTolerance: Tolerance, maximumIterations: MostIterations);
        NonlinearMinimizationResult result = minimizer.FindMinimum(model, guess, isFixed: [.. isFixed]);
        if (result.ReasonForExit is ExitCondition.ExceedIterations or ExitCondition.InvalidValues)
        {
            throw new NonConvergenceException(FormattableString.Invariant(
                $"The universal scalability fit did not settle in {result.Iterations} iterations; it stopped because of {result.ReasonForExit}."));
        }

        return result.MinimizingPoint;
    }

    private static Vector<double> RelativeRates(Vector<double> parameters, Vector<double> cores) =>
        cores.Map(p => parameters[2] * p / (1 + parameters[0] * (p - 1) + parameters[1] * p * (p - 1)));

    private static Matrix<double> Slopes(Vector<double> parameters, Vector<double> cores) =>
        Matrix<double>.Build.Dense(cores.Count, 3, (i, j) =>
        {
            double p = cores[i];
            double capacity = p / (1 + parameters[0] * (p - 1) + parameters[1] * p * (p - 1));
            double byContention = -parameters[2] * capacity * capacity * (p - 1) / p;
            return j switch { 0 => byContention, 1 => byContention * p, _ => capacity };
        });

    private static void RequireCoreCounts(IReadOnlyList<MeasuredRate> measured)
    {
        foreach (MeasuredRate point in measured)
        {
            Require.AtLeast(point.Cores, 1);
            Require.Positive(point.Rate);
        }

        if (measured.Select(m => m.Cores).Distinct().Count() < 3)
            throw new ArgumentException("The universal scalability law needs rates on three core counts or more.", nameof(measured));
    }

    private static double RateOnOneCore(IReadOnlyList<MeasuredRate> measured) =>
        measured.Any(m => m.Cores == 1)
            ? measured.Where(m => m.Cores == 1).Average(m => m.Rate)
            : throw new ArgumentException("Holding the rate at one core needs a rate measured on one core.", nameof(measured));

    private readonly record struct Face(bool NoContention, bool NoCoherency);

    private readonly record struct Candidate(double Contention, double Coherency, double Rate, double Misfit)
    {
        public static Candidate None { get; } = new(0, 0, 0, double.PositiveInfinity);

        public Candidate OrBetter(double contention, double coherency, double rate, double misfit) =>
            contention >= 0 && coherency >= 0 && rate > 0 && misfit < Misfit
                ? new Candidate(contention, coherency, rate, misfit)
                : this;

        public UniversalScalabilityFit ToFit() => new(Contention, Coherency, Rate);
    }
}
