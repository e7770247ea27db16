using System.Collections.Immutable;
using MathNet.Numerics.Random;

namespace Capacityplan.Core.Planning;

/// <summary>How much of the scatter of a model's result comes from each of its inputs.</summary>
/// <param name="First">S_i: the share of the variance that would go if the input alone were known.</param>
/// <param name="Total">S_Ti: the share that would stay if everything but the input were known, its interactions counted.</param>
/// <param name="Mean">Mean of the result.</param>
/// <param name="Variance">Its variance; where it is 0 all shares are 0.</param>
public sealed record SobolIndices(ImmutableArray<double> First, ImmutableArray<double> Total, double Mean, double Variance)
{
    /// <summary>Estimates the indices by sampling.</summary>
    /// <remarks>
    /// Two independent samples A and B of N points; A_B(i) is A with column i of B. First order: the mean of
    /// f(B) (f(A_B(i)) - f(A)) over V; total effect: the mean of (f(A) - f(A_B(i)))^2 over 2 V (Jansen's estimator). A. Saltelli
    /// et al., "Variance based sensitivity analysis of model output. Design and estimator for the total sensitivity index",
    /// Computer Physics Communications 181, 2010, table 2 (b) and (f). Their quasi-random points are Latin hypercube points
    /// here. It takes N (inputs + 2) runs of the model.
    /// </remarks>
    /// <param name="inputs">How many inputs; 1 or more.</param>
    /// <param name="samples">N; 2 or more.</param>
    /// <param name="seed">Seed of the points.</param>
    /// <param name="model">The result at a point, each coordinate evenly spread from 0 to 1; it may not keep the array.</param>
    /// <param name="progress">Told the share of the work that is done.</param>
    /// <param name="cancellation">Stops the work.</param>
    public static SobolIndices Estimate(
        int inputs, int samples, int seed, Func<double[], double> model, IProgress<double>? progress = null, CancellationToken cancellation = default)
    {
        Require.AtLeast(inputs, 1);
        Require.AtLeast(samples, 2);
        ArgumentNullException.ThrowIfNull(model);
        var random = new Xoshiro256StarStar(seed, threadSafe: false);
        double[][] columns = [.. Enumerable.Range(0, 2 * inputs).Select(_ => LatinColumn(samples, random))];
        double[] atA = new double[samples], atB = new double[samples], point = new double[inputs];
        double[] first = new double[inputs], total = new double[inputs];
        var mixed = new double[inputs, samples];
        for (int sample = 0; sample < samples; sample++)
        {
            cancellation.ThrowIfCancellationRequested();
            progress?.Report((double)sample / samples);
            for (int input = 0; input < inputs; input++)
                point[input] = columns[inputs + input][sample];
            atB[sample] = model(point);
            for (int input = 0; input < inputs; input++)
                point[input] = columns[input][sample];
            atA[sample] = model(point);
            for (int input = 0; input < inputs; input++)
            {
                point[input] = columns[inputs + input][sample];
                mixed[input, sample] = model(point);
                point[input] = columns[input][sample];
            }
        }

        double mean = 0.5 * (atA.Average() + atB.Average());
        double variance = atA.Concat(atB).Average(result => (result - mean) * (result - mean));
        if (variance > 0)
        {
            for (int input = 0; input < inputs; input++)
            {
                for (int sample = 0; sample < samples; sample++)
                {
                    double moved = mixed[input, sample] - atA[sample];
                    // Taken off the mean, which changes nothing on average and scatters less.
                    first[input] += (atB[sample] - mean) * moved / (samples * variance);
                    total[input] += moved * moved / (2 * samples * variance);
                }
            }
        }

        return new SobolIndices([.. first], [.. total], mean, variance);
    }

    /// <summary>One point in each of as many equal parts of [0, 1], in random order.</summary>
    private static double[] LatinColumn(int samples, Xoshiro256StarStar random)
    {
        double[] column = [.. Enumerable.Range(0, samples).Select(part => (part + random.NextDouble()) / samples)];
        for (int last = samples - 1; last > 0; last--)
        {
            int other = random.Next(last + 1);
            (column[last], column[other]) = (column[other], column[last]);
        }

        return column;
    }
}
