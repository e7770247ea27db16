using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Capacityplan.Core;

namespace Capacityplan.Web.Api;

/// <summary>What the HTTP API needs of the program.</summary>
public static class ApiSetup
{
    /// <summary>Registers how the API's JSON is written, and the document that describes it.</summary>
    public static IServiceCollection AddApi(this IServiceCollection services)
    {
        services.ConfigureHttpJsonOptions(options =>
        {
            JsonSerializerOptions json = options.SerializerOptions;
            json.NumberHandling = JsonNumberHandling.Strict;
            // Quotation marks and currency signs stay legible: answers are JSON by their type and are never put into a page.
            json.Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping;
            json.Converters.Add(new JsonStringEnumConverter<ProblemSeverity>(JsonNamingPolicy.CamelCase));
        });
        // A request that is refused is refused in the same words every time; only a fault of ours needs a trace.
        services.Configure<ProblemDetailsOptions>(options => options.CustomizeProblemDetails = context =>
        {
            if (context.ProblemDetails is RequestProblem)
                context.ProblemDetails.Extensions.Remove("traceId");
        });
        // A lambda, because only then the descriptions of the XML comments find their way into the document.
        services.AddOpenApi(options => ApiDocument.Describe(options));
        return services;
    }
}
